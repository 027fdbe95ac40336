#include "stillpoint/api/console/cookie.h"

namespace stillpoint::api {
namespace {

constexpr std::string_view kPlain = "stillpoint_session";
constexpr std::string_view kTls = "__Host-stillpoint_session";
constexpr std::string_view kMonth = "2592000";

std::string cookie(std::string_view secret, bool tls, std::string_view age_s) {
  std::string text(tls ? kTls : kPlain);
  text += '=';
  text += secret;
  text += "; Path=/; HttpOnly; SameSite=Strict; Max-Age=";
  text += age_s;
  if (tls) {
    text += "; Secure";
  }
  return text;
}

}  // namespace

std::string session_cookie(std::string_view secret, bool tls) {
  return cookie(secret, tls, kMonth);
}

std::string ended_cookie(bool tls) {
  return cookie("", tls, "0");
}

std::string session_secret(const net::HttpRequest& request) {
  const std::string all = request.field("Cookie");
  const std::string_view wanted = request.tls ? kTls : kPlain;
  std::string_view rest = all;
  while (!rest.empty()) {
    // Lines of the field are joined by ", " (they should be one).
    const auto end = rest.find_first_of(";,");
    std::string_view pair = rest.substr(0, end);
    rest = end == std::string_view::npos ? std::string_view()
                                         : rest.substr(end + 1);
    while (pair.starts_with(' ')) {
      pair.remove_prefix(1);
    }
    if (pair.starts_with(wanted) && pair.substr(wanted.size(), 1) == "=") {
      return std::string(pair.substr(wanted.size() + 1));
    }
  }
  return {};
}

}  // namespace stillpoint::api
