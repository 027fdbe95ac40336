#include "stillpoint/net/source_options.h"

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "stillpoint/core/text.h"

namespace stillpoint::net {
namespace {

tl::unexpected<Error> wrong(std::string what, std::string remedy) {
  return fail(ErrorCode::kUsage, std::move(what), "source", std::move(remedy));
}

Status set_baud(std::string_view value, SourceAddress& address) {
  constexpr std::int64_t kSlowest = 50, kFastest = 16'000'000;
  const auto baud = parse_int(value);
  if (!baud || *baud < kSlowest || *baud > kFastest) {
    return wrong("baud is not a whole number in 50..16000000",
                 "give the speed the receiver is set to, e.g. baud=115200");
  }
  address.baud = static_cast<unsigned>(*baud);
  return ok();
}

Status set_flow(std::string_view value, SourceAddress& address) {
  if (value == "none") {
    address.flow = FlowControl::kNone;
  } else if (value == "hardware") {
    address.flow = FlowControl::kHardware;
  } else if (value == "software") {
    address.flow = FlowControl::kSoftware;
  } else {
    return wrong("flow is none of: none, hardware, software",
                 "leave it out unless the receiver's manual asks for it");
  }
  return ok();
}

Status set_speed(std::string_view value, SourceAddress& address) {
  constexpr double kFastest = 1e6;
  const auto speed = parse_double(value);
  if (!speed || !(*speed >= 0) || *speed > kFastest) {
    return wrong("speed is not a number in 0..1000000",
                 "give speed=1 for real time, speed=0 for as fast as it goes");
  }
  address.speed = *speed;
  return ok();
}

Status set_version(std::string_view value, SourceAddress& address) {
  if (value != "1" && value != "2") {
    return wrong("version is neither 1 nor 2",
                 "leave it out, then it is found out");
  }
  address.version = value == "1" ? 1 : 2;
  return ok();
}

bool is_date(std::string_view value) {
  if (value.size() != 10 || value[4] != '-' || value[7] != '-') {
    return false;
  }
  for (const std::size_t i : {0U, 1U, 2U, 3U, 5U, 6U, 8U, 9U}) {
    if (value[i] < '0' || value[i] > '9') {
      return false;
    }
  }
  const auto number = [&](std::size_t at, std::size_t count) {
    return static_cast<int>(*parse_int(value.substr(at, count)));
  };
  const std::chrono::year_month_day day{
      std::chrono::year{number(0, 4)},
      std::chrono::month{static_cast<unsigned>(number(5, 2))},
      std::chrono::day{static_cast<unsigned>(number(8, 2))}};
  return day.ok() && day.year() >= std::chrono::year{1980};
}

Status set_date(std::string_view value, SourceAddress& address) {
  if (!is_date(value)) {
    return wrong("date is no day since 1980 as YYYY-MM-DD",
                 "give the day of the data, e.g. date=2026-11-25");
  }
  address.date = value;
  return ok();
}

Status set_password_file(std::string_view value, SourceAddress& address) {
  if (value.empty()) {
    return wrong("password_file names no file",
                 "give the path of a file that holds only the password");
  }
  address.password_file = value;
  return ok();
}

// Capital letters only: so a password given for the name of a variable is
// nearly always found out.
Status set_password_env(std::string_view value, SourceAddress& address) {
  const bool fits = std::all_of(value.begin(), value.end(), [](char c) {
    return (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_';
  });
  if (value.empty() || !fits || (value[0] >= '0' && value[0] <= '9')) {
    return wrong(
        "password_env is no name of an environment variable (A-Z, 0-9, _)",
        "put the password into a variable such as CASTER_PASSWORD, and give "
        "password_env=CASTER_PASSWORD");
  }
  address.password_env = value;
  return ok();
}

Status set_ca_file(std::string_view value, SourceAddress& address) {
  if (value.empty()) {
    return wrong("ca_file names no file",
                 "give the path of the certificates to trust (PEM)");
  }
  address.ca_file = value;
  return ok();
}

constexpr unsigned bit(SourceKind kind) {
  return 1U << static_cast<unsigned>(kind);
}
constexpr unsigned kBothNtrip =
    bit(SourceKind::kNtrip) | bit(SourceKind::kNtrips);
constexpr unsigned kEvery = ~0U;

struct Rule {
  std::string_view name;
  unsigned kinds;
  Status (*set)(std::string_view value, SourceAddress& address);
};
constexpr std::array kRules{
    Rule{"baud", bit(SourceKind::kSerial), set_baud},
    Rule{"flow", bit(SourceKind::kSerial), set_flow},
    Rule{"speed", bit(SourceKind::kFile), set_speed},
    Rule{"password_file", kBothNtrip, set_password_file},
    Rule{"password_env", kBothNtrip, set_password_env},
    Rule{"version", kBothNtrip, set_version},
    Rule{"ca_file", bit(SourceKind::kNtrips), set_ca_file},
    Rule{"date", kEvery, set_date},
};

// Names that people give a password.
bool sounds_secret(std::string_view name) {
  std::string lower(name);
  std::transform(lower.begin(), lower.end(), lower.begin(), [](char c) {
    return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  });
  constexpr std::array<std::string_view, 7> kParts{
      "pass", "pwd", "pw", "secret", "token", "auth", "key"};
  return std::any_of(kParts.begin(), kParts.end(), [&](std::string_view part) {
    return lower.find(part) != std::string::npos;
  });
}

tl::unexpected<Error> unknown(std::string_view name, SourceKind kind) {
  std::vector<std::string_view> names;
  std::string list;
  for (const Rule& rule : kRules) {
    if ((rule.kinds & bit(kind)) != 0) {
      names.push_back(rule.name);
      list += (list.empty() ? "" : ", ") + std::string(rule.name);
    }
  }
  const auto near = suggest(name, names);
  return wrong("an option that this kind of source does not take",
               (near ? "did you mean " + std::string(*near) + "? " : "") +
                   "allowed: " + list);
}

Status set_option(std::string_view item,
                  SourceAddress& address,
                  std::set<std::string_view>& seen) {
  const auto equals = item.find('=');
  const auto name = item.substr(0, equals);
  const auto rule =
      std::find_if(kRules.begin(), kRules.end(), [&](const Rule& r) {
        return r.name == name && (r.kinds & bit(address.kind)) != 0;
      });
  if (rule == kRules.end()) {
    if (sounds_secret(name) && name != "password_file" &&
        name != "password_env") {
      return fail(password_refused());
    }
    return unknown(name, address.kind);
  }
  if (equals == std::string_view::npos) {
    return wrong(std::string(name) + " has no value",
                 "write it as " + std::string(name) + "=VALUE");
  }
  if (!seen.insert(rule->name).second) {
    return wrong(std::string(name) + " is given twice", "give it once");
  }
  return rule->set(item.substr(equals + 1), address);
}

}  // namespace

Status parse_source_options(std::string_view text, SourceAddress& address) {
  std::set<std::string_view> seen;
  while (!text.empty()) {
    const auto end = std::min(text.find('&'), text.size());
    if (end > 0) {
      if (auto done = set_option(text.substr(0, end), address, seen); !done) {
        return done;
      }
    }
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  if (!address.password_file.empty() && !address.password_env.empty()) {
    return wrong("password_file and password_env are both given",
                 "give one of them");
  }
  return ok();
}

Error password_refused() {
  return {ErrorCode::kUsage,
          "a password stands in the source, where every process of this "
          "computer can read it",
          "source",
          "put it into a file that only you can read and add "
          "password_file=PATH, or into an environment variable and add "
          "password_env=NAME; write '@' or ':' in a user name as %40 or %3A"};
}

Result<std::string> percent_decoded(std::string_view text) {
  const auto digit = [&](std::size_t at) -> int {
    const char c = at < text.size() ? text[at] : ' ';
    if (c >= '0' && c <= '9') {
      return c - '0';
    }
    const char upper = static_cast<char>(c & ~0x20);
    return upper >= 'A' && upper <= 'F' ? upper - 'A' + 10 : -1;
  };
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] != '%') {
      out += text[i];
      continue;
    }
    const int high = digit(i + 1), low = digit(i + 2);
    if (high < 0 || low < 0) {
      return wrong("a '%' is not followed by two hexadecimal digits",
                   "write '%' itself as %25");
    }
    out += static_cast<char>(high * 16 + low);
    i += 2;
  }
  return out;
}

}  // namespace stillpoint::net
