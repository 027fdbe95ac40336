#include "stillpoint/ntrip/server/rover_answer.h"

#include <fmt/format.h>

#include <array>
#include <chrono>

#include "stillpoint/ntrip/ascii.h"

namespace stillpoint::ntrip {
namespace {

const char* reason_of(int status) {
  switch (status) {
    case 200:
      return "OK";
    case 400:
      return "Bad Request";
    case 401:
      return "Unauthorized";
    case 403:
      return "Forbidden";
    case 404:
      return "Not Found";
    case 405:
      return "Method Not Allowed";
    case 408:
      return "Request Timeout";
    case 431:
      return "Request Header Fields Too Large";
    case 503:
      return "Service Unavailable";
    default:
      return "HTTP Version Not Supported";  // 505
  }
}

std::string server_line(const AnswerStyle& style) {
  return fmt::format("Server: NTRIP Stillpoint/{}\r\n", style.program_version);
}

// Version 2: all heads begin so.
std::string second_head(int status, const AnswerStyle& style) {
  return fmt::format(
      "HTTP/1.1 {} {}\r\nNtrip-Version: Ntrip/2.0\r\n{}Date: {}\r\n"
      "Cache-Control: no-store, no-cache, max-age=0\r\nPragma: no-cache\r\n"
      "Connection: close\r\n",
      status,
      reason_of(status),
      server_line(style),
      http_date(style.unix_s));
}

std::string first_head(int status, const AnswerStyle& style) {
  return fmt::format("HTTP/1.0 {} {}\r\n{}Date: {}\r\nConnection: close\r\n",
                     status,
                     reason_of(status),
                     server_line(style),
                     http_date(style.unix_s));
}

std::string realm_of(std::string_view mount) {
  std::string realm = "/";
  for (const char c : mount) {
    realm += is_printable(c) && c != '"' && c != '\\' ? c : '_';
  }
  return realm;
}

}  // namespace

std::string http_date(std::int64_t unix_s) {
  using std::chrono::days;
  using std::chrono::seconds;
  using std::chrono::sys_seconds;
  constexpr std::array<const char*, 7> kDays{
      "Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"};
  constexpr std::array<const char*, 12> kMonths{"Jan",
                                                "Feb",
                                                "Mar",
                                                "Apr",
                                                "May",
                                                "Jun",
                                                "Jul",
                                                "Aug",
                                                "Sep",
                                                "Oct",
                                                "Nov",
                                                "Dec"};
  const sys_seconds now{seconds{unix_s}};
  const auto day = std::chrono::floor<days>(now);
  const std::chrono::year_month_day date{day};
  const std::chrono::hh_mm_ss clock{now - day};
  return fmt::format("{}, {:02} {} {:04} {:02}:{:02}:{:02} GMT",
                     kDays[std::chrono::weekday{day}.c_encoding()],
                     static_cast<unsigned>(date.day()),
                     kMonths[static_cast<unsigned>(date.month()) - 1],
                     static_cast<int>(date.year()),
                     clock.hours().count(),
                     clock.minutes().count(),
                     clock.seconds().count());
}

std::string stream_head(Version version,
                        bool chunked,
                        const AnswerStyle& style) {
  if (version == Version::k1) {
    return "ICY 200 OK\r\n\r\n";
  }
  return second_head(200, style) + "Content-Type: gnss/data\r\n" +
         (chunked ? "Transfer-Encoding: chunked\r\n\r\n" : "\r\n");
}

std::string table_head(Version version,
                       std::size_t size,
                       const AnswerStyle& style) {
  if (version == Version::k1) {
    return fmt::format(
        "SOURCETABLE 200 OK\r\n{}Content-Type: text/plain\r\n"
        "Content-Length: {}\r\n\r\n",
        server_line(style),
        size);
  }
  return fmt::format(
      "{}Content-Type: gnss/sourcetable\r\nContent-Length: {}\r\n\r\n",
      second_head(200, style),
      size);
}

std::string refusal_text(int status,
                         Version version,
                         std::string_view mount,
                         const AnswerStyle& style) {
  std::string text = version == Version::k1 ? first_head(status, style)
                                            : second_head(status, style);
  if (status == 401) {
    text += fmt::format("WWW-Authenticate: Basic realm=\"{}\"\r\n",
                        realm_of(mount));
  } else if (status == 405) {
    text += "Allow: GET\r\n";
  } else if (status == 503) {
    text += "Retry-After: 30\r\n";
  }
  const std::string body = fmt::format("{} {}\r\n", status, reason_of(status));
  text += fmt::format("Content-Type: text/plain\r\nContent-Length: {}\r\n\r\n",
                      body.size());
  return text + body;
}

}  // namespace stillpoint::ntrip
