#include "stillpoint/net/http_fields.h"

#include <algorithm>
#include <boost/beast/core/string.hpp>
#include <charconv>

namespace stillpoint::net {
namespace {

using boost::beast::iequals;

bool is_named(const HttpField& field, const char* name) {
  return iequals(field.name, name);
}

bool is_alnum(char c) {
  return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') ||
         (c >= 'A' && c <= 'Z');
}

bool is_hex(char c) {
  return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'f') ||
         (c >= 'A' && c <= 'F');
}

// unreserved, sub-delims and what else `more` allows; "%XX" (RFC 3986).
bool consists_of(std::string_view text, std::string_view more) {
  constexpr std::string_view kMarks = "-._~!$&'()*+,;=";
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (c == '%') {
      if (i + 2 >= text.size() || !is_hex(text[i + 1]) ||
          !is_hex(text[i + 2])) {
        return false;
      }
      i += 2;
    } else if (!is_alnum(c) && kMarks.find(c) == std::string_view::npos &&
               more.find(c) == std::string_view::npos) {
      return false;
    }
  }
  return true;
}

// uri-host [ ":" port ]; may be empty.
bool is_host(std::string_view value) {
  std::string_view port;
  if (value.starts_with('[')) {
    const std::size_t end = value.find(']');
    if (end == std::string_view::npos || end == 1 ||
        !consists_of(value.substr(1, end - 1), ":")) {
      return false;
    }
    port = value.substr(end + 1);
  } else {
    const std::size_t colon = std::min(value.find(':'), value.size());
    if (!consists_of(value.substr(0, colon), "")) {
      return false;
    }
    port = value.substr(colon);
  }
  return port.empty() ||
         (port.front() == ':' &&
          port.find_first_not_of("0123456789", 1) == std::string_view::npos);
}

bool is_chunked(std::string_view coding) {
  while (!coding.empty() && (coding.front() == ' ' || coding.front() == '\t')) {
    coding.remove_prefix(1);
  }
  return iequals({coding.data(), coding.size()}, "chunked");
}

// Of a list.
bool ends_with_chunked(std::string_view codings) {
  const std::size_t comma = codings.rfind(',');
  return is_chunked(
      comma == std::string_view::npos ? codings : codings.substr(comma + 1));
}

}  // namespace

std::optional<std::string> origin_form(std::string_view target) {
  constexpr std::string_view kScheme = "http://";
  std::string path(target);
  if (iequals(path.substr(0, kScheme.size()), "http://")) {
    const std::size_t end =
        std::min(path.find_first_of("/?", kScheme.size()), path.size());
    const std::string host = path.substr(kScheme.size(), end - kScheme.size());
    if (host.empty() || !is_host(host)) {
      return std::nullopt;
    }
    path.erase(0, end);
    if (!path.starts_with('/')) {
      path.insert(0, 1, '/');
    }
  }
  if (!path.starts_with('/') || !consists_of(path, "/:@?")) {
    return std::nullopt;
  }
  return path;
}

bool is_host_right(const std::vector<HttpField>& fields, bool is_1_1) {
  std::size_t hosts = 0;
  bool right = true;
  for (const HttpField& field : fields) {
    if (is_named(field, "Host")) {
      ++hosts;
      right = right && is_host(field.value);
    }
  }
  return right && (hosts == 1 || (hosts == 0 && !is_1_1));
}

BodyFields read_body_fields(const std::vector<HttpField>& fields) {
  BodyFields body;
  std::size_t lengths = 0;
  std::string codings;
  for (const HttpField& field : fields) {
    if (is_named(field, "Content-Length")) {
      ++lengths;
      const char* end = field.value.data() + field.value.size();
      const auto [stopped, problem] =
          std::from_chars(field.value.data(), end, body.length);
      body.damaged = body.damaged || stopped != end || problem != std::errc{} ||
                     field.value.empty();
    } else if (is_named(field, "Transfer-Encoding")) {
      body.coded = true;
      codings += (codings.empty() ? "" : ",") + field.value;
    }
  }
  body.damaged = body.damaged || lengths > 1 || (body.coded && lengths > 0) ||
                 (body.coded && !ends_with_chunked(codings));
  body.only_chunked = body.coded && is_chunked(codings);
  return body;
}

bool expects_continue(const std::vector<HttpField>& fields) {
  return std::any_of(fields.begin(), fields.end(), [](const auto& field) {
    return is_named(field, "Expect") && iequals(field.value, "100-continue");
  });
}

}  // namespace stillpoint::net
