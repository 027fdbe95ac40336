#include "stillpoint/net/source_address.h"

#include <algorithm>
#include <array>
#include <utility>

#include "stillpoint/core/text.h"
#include "stillpoint/net/source_options.h"

namespace stillpoint::net {
namespace {

constexpr std::uint16_t kNtripPort = 2101;  // IANA "rtcm-sc104", from memory
constexpr const char* kForms =
    "write serial:/dev/ttyACM0?baud=115200, tcp://host:port, "
    "ntrip://user@host:2101/MOUNT?password_file=F, file:PATH or - "
    "(standard input)";

tl::unexpected<Error> wrong(std::string what, std::string remedy = kForms) {
  return fail(ErrorCode::kUsage, std::move(what), "source", std::move(remedy));
}

bool is_control(char c) {
  return static_cast<unsigned char>(c) < 0x20 || c == 0x7f;
}

bool has_control(std::string_view text) {
  return std::any_of(text.begin(), text.end(), is_control);
}

struct Scheme {
  std::string_view name;
  SourceKind kind;
};
constexpr std::array kSchemes{
    Scheme{"serial:", SourceKind::kSerial},
    Scheme{"file:", SourceKind::kFile},
    Scheme{"tcp://", SourceKind::kTcp},
    Scheme{"ntrip://", SourceKind::kNtrip},
    Scheme{"ntrips://", SourceKind::kNtrips},
};

bool starts_with_any_case(std::string_view text, std::string_view start) {
  return text.size() >= start.size() &&
         std::equal(
             start.begin(), start.end(), text.begin(), [](char a, char b) {
               return a == (b >= 'A' && b <= 'Z'
                                ? static_cast<char>(b - 'A' + 'a')
                                : b);
             });
}

// "user:password@…" however odd: with '@', '/' or '?' in the password. What
// stands before the last '@' of the place has no colon, since a host comes
// after it; and an '@' in what looks like options comes after a '='.
bool holds_password(std::string_view rest) {
  const auto place = rest.substr(0, rest.find('?'));
  const auto colon = place.find(':');
  if (colon == std::string_view::npos) {
    return false;
  }
  if (const auto at = place.rfind('@'); at != std::string_view::npos) {
    return colon < at;
  }
  const auto at = rest.find('@');
  return at != std::string_view::npos && at < rest.find('=');
}

Status parse_path(std::string_view rest, SourceAddress& address) {
  const auto mark = rest.rfind('?');
  const auto path = rest.substr(0, mark);
  if (path.empty()) {
    return wrong(address.kind == SourceKind::kFile ? "no file is named"
                                                   : "no device is named");
  }
  address.path = path;
  return parse_source_options(
      mark == std::string_view::npos ? "" : rest.substr(mark + 1), address);
}

bool is_host_letter(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') ||
         (c >= '0' && c <= '9') || c == '-' || c == '.' || c == '_';
}

bool is_address_letter(char c) {  // of IPv6, with a zone
  return is_host_letter(c) || c == ':' || c == '%';
}

Status set_host(std::string_view host, bool brackets, SourceAddress& address) {
  constexpr std::size_t kLongest = 253;
  if (host.empty()) {
    return wrong("no host is named");
  }
  if (host.size() > kLongest ||
      !std::all_of(host.begin(),
                   host.end(),
                   brackets ? is_address_letter : is_host_letter)) {
    return wrong("the host holds a character that no host name has",
                 "write letters, digits, '-' and '.', other letters as the "
                 "name's xn-- form, and an IPv6 address in brackets");
  }
  address.host = host;
  return ok();
}

// "host:port", "[v6]:port"; the port may be missing with plain NTRIP.
Status parse_host_port(std::string_view text, SourceAddress& address) {
  const bool brackets = !text.empty() && text[0] == '[';
  std::string_view host, port;
  if (brackets) {
    const auto close = text.find(']');
    if (close == std::string_view::npos) {
      return wrong("a '[' without its ']'");
    }
    host = text.substr(1, close - 1);
    port = text.substr(close + 1);
  } else {
    const auto colon = std::min(text.find(':'), text.size());
    host = text.substr(0, colon);
    port = text.substr(colon);
  }
  if (auto set = set_host(host, brackets, address); !set) {
    return set;
  }
  if (port.empty()) {
    if (address.kind != SourceKind::kNtrip) {
      return wrong("no port is named", "write it behind the host: host:port");
    }
    address.port = kNtripPort;
    return ok();
  }
  const auto digits = port.substr(1);
  const bool whole = std::all_of(digits.begin(), digits.end(), [](char c) {
    return c >= '0' && c <= '9';
  });
  const auto number = parse_int(digits);
  if (port[0] != ':' || !whole || !number || *number < 1 || *number > 65535) {
    return wrong("the port is not a number in 1..65535",
                 "write host:port, e.g. localhost:2101");
  }
  address.port = static_cast<std::uint16_t>(*number);
  return ok();
}

Status set_user(std::string_view text, SourceAddress& address) {
  auto user = percent_decoded(text);
  if (!user) {
    return fail(std::move(user.error()));
  }
  if (user->find(':') != std::string::npos) {
    return fail(password_refused());
  }
  if (user->empty() || has_control(*user)) {
    return wrong("the user before '@' is empty or holds control characters");
  }
  address.user = std::move(*user);
  return ok();
}

Status set_mount(std::string_view text, SourceAddress& address) {
  constexpr std::size_t kLongest = 100;
  auto mount = percent_decoded(text);
  if (!mount) {
    return fail(std::move(mount.error()));
  }
  const bool fits = std::all_of(mount->begin(), mount->end(), [](char c) {
    return c > ' ' && c < 0x7f && c != '/' && c != '?' && c != '#';
  });
  if (!fits || mount->size() > kLongest) {
    return wrong("the mountpoint is no word of at most 100 characters",
                 "write one name behind the host: ntrip://host:2101/MOUNT");
  }
  address.mount = std::move(*mount);
  return ok();
}

Status parse_network(std::string_view rest, SourceAddress& address) {
  if (holds_password(rest)) {
    return fail(password_refused());
  }
  const auto mark = rest.find('?');
  const auto place = rest.substr(0, mark);
  const auto slash = std::min(place.find('/'), place.size());
  auto host = place.substr(0, slash);
  const auto mount = place.substr(std::min(slash + 1, place.size()));
  if (const auto at = host.rfind('@'); at != std::string_view::npos) {
    if (address.kind == SourceKind::kTcp) {
      return wrong("a plain TCP source takes no user");
    }
    if (auto set = set_user(host.substr(0, at), address); !set) {
      return set;
    }
    host.remove_prefix(at + 1);
  }
  if (auto set = parse_host_port(host, address); !set) {
    return set;
  }
  if (address.kind == SourceKind::kTcp && !mount.empty()) {
    return wrong("a plain TCP source has nothing behind the port");
  }
  if (auto set = set_mount(mount, address); !set) {
    return set;
  }
  if (auto set = parse_source_options(
          mark == std::string_view::npos ? "" : rest.substr(mark + 1), address);
      !set) {
    return set;
  }
  if (address.user.empty() &&
      (!address.password_file.empty() || !address.password_env.empty())) {
    return wrong("a password belongs to a user, and none is named",
                 "write the user before the host: ntrip://user@host:2101/…");
  }
  return ok();
}

// A likely meaning of a text without a scheme.
std::string guess(std::string_view text) {
  if (text.substr(0, 5) == "/dev/") {
    return "a device is written serial:/dev/…; ";
  }
  return "a file is written file:PATH; ";
}

}  // namespace

Result<SourceAddress> parse_source(std::string_view text) {
  SourceAddress address;
  address.text = text;
  if (has_control(text)) {
    return wrong("it holds control characters");
  }
  if (text == "-" || text.substr(0, 2) == "-?") {
    address.kind = SourceKind::kStdin;
    const auto options = text.substr(std::min<std::size_t>(2, text.size()));
    if (auto set = parse_source_options(options, address); !set) {
      return fail(std::move(set.error()));
    }
    return address;
  }
  for (const Scheme& scheme : kSchemes) {
    if (!starts_with_any_case(text, scheme.name)) {
      continue;
    }
    address.kind = scheme.kind;
    const auto rest = text.substr(scheme.name.size());
    const bool local =
        scheme.kind == SourceKind::kSerial || scheme.kind == SourceKind::kFile;
    const auto done =
        local ? parse_path(rest, address) : parse_network(rest, address);
    if (!done) {
      return fail(done.error());
    }
    return address;
  }
  const auto scheme = text.find("://");
  const auto rest =
      text.substr(scheme == std::string_view::npos ? 0 : scheme + 3);
  return holds_password(rest)
             ? fail(password_refused())
             : wrong("it begins with no kind of source", guess(text) + kForms);
}

}  // namespace stillpoint::net
