#include "stillpoint/fetch/file_name.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <functional>
#include <optional>

#include "stillpoint/core/check.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::fetch {
namespace {

constexpr std::size_t kLongestName = 120;
constexpr std::size_t kLongestUrl = 500;

constexpr std::array<std::string_view, 12> kOfNames = {"agency",
                                                       "campaign",
                                                       "type",
                                                       "yyyy",
                                                       "yy",
                                                       "ddd",
                                                       "month",
                                                       "day",
                                                       "hh",
                                                       "mm",
                                                       "week",
                                                       "dow"};
constexpr std::string_view kFile = "file";

bool is_of_name(std::string_view word) {
  return std::find(kOfNames.begin(), kOfNames.end(), word) != kOfNames.end();
}

bool is_name_byte(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') ||
         (c >= '0' && c <= '9') || c == '.' || c == '_' || c == '-';
}

bool is_url_byte(char c) {
  return is_name_byte(c) ||
         std::string_view(":/?&=%~+,;()[]").find(c) != std::string_view::npos;
}

tl::unexpected<Error> wrong(std::string what, std::string remedy) {
  return fail(
      ErrorCode::kConfig, std::move(what), std::string(), std::move(remedy));
}

// Hands every placeholder and every byte between them to the caller; false
// where a brace is not closed, or when the caller says so.
bool walk(std::string_view text,
          const std::function<bool(std::string_view)>& on_word,
          const std::function<bool(char)>& on_byte) {
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] != '{') {
      if (!on_byte(text[i])) {
        return false;
      }
      continue;
    }
    const std::size_t end = text.find('}', i);
    if (end == std::string_view::npos ||
        !on_word(text.substr(i + 1, end - i - 1))) {
      return false;
    }
    i = end;
  }
  return true;
}

std::string value_of(std::string_view word,
                     const ProductLine& line,
                     GnssTime begins) {
  const Calendar c = to_calendar(begins, TimeScale::kGps);
  if (word == "agency") {
    return line.agency;
  }
  if (word == "campaign") {
    return line.campaign;
  }
  if (word == "type") {
    return quality_letters(line.quality);
  }
  if (word == "yyyy") {
    return fmt::format("{:04}", c.year);
  }
  if (word == "yy") {
    return fmt::format("{:02}", c.year % 100);
  }
  if (word == "ddd") {
    return fmt::format("{:03}", day_of_year(c));
  }
  if (word == "month") {
    return fmt::format("{:02}", c.month);
  }
  if (word == "day") {
    return fmt::format("{:02}", c.day);
  }
  if (word == "hh") {
    return fmt::format("{:02}", c.hour);
  }
  if (word == "mm") {
    return fmt::format("{:02}", c.minute);
  }
  if (word == "week") {
    return fmt::format("{:04}", begins.week());
  }
  STILLPOINT_CHECK(word == "dow");
  return fmt::format("{}", static_cast<int>(begins.tow_s() / 86400.0));
}

std::string filled(std::string_view text,
                   const ProductLine& line,
                   GnssTime begins,
                   const std::string& file) {
  std::string out;
  const bool whole = walk(
      text,
      [&](std::string_view word) {
        out += word == kFile ? file : value_of(word, line, begins);
        return true;
      },
      [&](char c) {
        out += c;
        return true;
      });
  STILLPOINT_CHECK(whole);  // checked when it was read
  return out;
}

constexpr std::string_view kWords =
    "{agency} {campaign} {type} {yyyy} {yy} {ddd} {month} {day} {hh} {mm} "
    "{week} {dow}";

}  // namespace

Status check_file_template(std::string_view text) {
  if (text.empty() || text.size() > kLongestName || text.front() == '.') {
    return wrong(fmt::format("a file name has 1 to {} bytes and does not begin "
                             "with a dot",
                             kLongestName),
                 "write the name as the archive has it");
  }
  std::string bad;
  const bool whole = walk(
      text,
      [&](std::string_view word) {
        bad = is_of_name(word) ? "" : "an unknown placeholder";
        return bad.empty();
      },
      [&](char c) {
        bad = is_name_byte(c) ? "" : "a byte that no file name has";
        return bad.empty();
      });
  if (!whole) {
    return wrong(bad.empty() ? "a { without its }" : bad,
                 fmt::format("a file name has letters, digits, '.', '_', '-' "
                             "and {}",
                             kWords));
  }
  return ok();
}

Status check_url_template(std::string_view text) {
  const std::string scheme = scheme_of(text);
  if (scheme != "https" && scheme != "ftp" && scheme != "http") {
    return wrong("the address is none of https://, ftp:// and http://",
                 "write it like https://products.example.org/{week}/{file}");
  }
  if (text.find('@') != std::string_view::npos) {
    return wrong("a user or password stands in the address",
                 "take it out and write a table [[login]] with password_file");
  }
  if (text.size() > kLongestUrl || host_of(text).empty()) {
    return wrong(
        fmt::format("the address has no host, or over {} bytes", kLongestUrl),
        "write it like https://products.example.org/{week}/{file}");
  }
  if (host_of(text).find('{') != std::string::npos) {
    return wrong("a placeholder in the host", "write each host out");
  }
  bool file = false;
  std::string bad;
  const bool whole = walk(
      text,
      [&](std::string_view word) {
        file = file || word == kFile;
        bad = word == kFile || is_of_name(word) ? "" : "an unknown placeholder";
        return bad.empty();
      },
      [&](char c) {
        bad = is_url_byte(c) ? "" : "a byte that no address has";
        return bad.empty();
      });
  if (!whole) {
    return wrong(bad.empty() ? "a { without its }" : bad,
                 fmt::format("an address may have {{file}} and {}", kWords));
  }
  if (!file) {
    return wrong("an address without {file}",
                 "end it with /{file}, where the file's name goes");
  }
  return ok();
}

std::string file_name(const ProductLine& line, GnssTime begins) {
  return filled(line.file_template, line, begins, {});
}

std::string file_url(const Archive& archive,
                     const ProductLine& line,
                     GnssTime begins) {
  return filled(archive.url_template, line, begins, file_name(line, begins));
}

std::string public_part(std::string_view url) {
  return std::string(url.substr(0, url.find('?')));
}

std::string scheme_of(std::string_view url) {
  const std::size_t end = url.find("://");
  std::string scheme(end == std::string_view::npos ? "" : url.substr(0, end));
  for (char& c : scheme) {
    c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  }
  return scheme;
}

std::string host_of(std::string_view url) {
  const std::size_t from = url.find("://");
  if (from == std::string_view::npos) {
    return {};
  }
  url.remove_prefix(from + 3);
  url = url.substr(0, url.find_first_of("/?#"));
  const std::size_t user = url.rfind('@');
  if (user != std::string_view::npos) {
    url.remove_prefix(user + 1);
  }
  const std::size_t bracket = url.find(']');
  const std::size_t port =
      url.find(':', bracket == std::string_view::npos ? 0 : bracket);
  std::string host(url.substr(0, port));
  for (char& c : host) {
    c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  }
  return host;
}

}  // namespace stillpoint::fetch
