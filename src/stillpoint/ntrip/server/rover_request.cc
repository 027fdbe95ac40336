#include "stillpoint/ntrip/server/rover_request.h"

#include <algorithm>
#include <optional>

#include "stillpoint/core/text.h"
#include "stillpoint/ntrip/ascii.h"
#include "stillpoint/ntrip/server/credentials.h"

namespace stillpoint::ntrip {
namespace {

// RFC 9110, section 5.6.2.
bool is_token(std::string_view text) {
  return !text.empty() && std::all_of(text.begin(), text.end(), [](char c) {
    return is_alpha(c) || is_digit(c) ||
           std::string_view("!#$%&'*+-.^_`|~").find(c) !=
               std::string_view::npos;
  });
}

bool is_control(char c) {
  return (c >= '\0' && c < ' ' && c != '\t') || c == '\x7F';
}

int hex_digit(char c) {
  if (is_digit(c)) {
    return c - '0';
  }
  const char low = to_lower(c);
  return low >= 'a' && low <= 'f' ? low - 'a' + 10 : -1;
}

// Nothing where %XX is damaged or stands for what is not printable.
std::optional<std::string> without_percent(std::string_view text) {
  std::string plain;
  for (std::size_t i = 0; i < text.size(); ++i) {
    char c = text[i];
    if (c == '%') {
      const int high = i + 2 < text.size() ? hex_digit(text[i + 1]) : -1;
      const int low = i + 2 < text.size() ? hex_digit(text[i + 2]) : -1;
      if (high < 0 || low < 0) {
        return std::nullopt;
      }
      c = static_cast<char>(high * 16 + low);
      i += 2;
    }
    if (!is_printable(c)) {
      return std::nullopt;
    }
    plain += c;
  }
  return plain;
}

// The path of "http://host/path", which servers must take (RFC 9112, 3.2.2).
std::string_view path_of(std::string_view target) {
  for (const std::string_view scheme : {"http://", "https://"}) {
    if (starts_with_text(target, scheme)) {
      target.remove_prefix(scheme.size());
      const std::size_t slash = target.find('/');
      return slash == std::string_view::npos ? "/" : target.substr(slash);
    }
  }
  return target;
}

}  // namespace

RequestReader::~RequestReader() {
  wipe(line_);
  wipe(request_.password);
}

RequestReader::State RequestReader::feed(ByteSpan& bytes) {
  while (state_ == State::kMore && !bytes.empty()) {
    const char c = static_cast<char>(bytes.front());
    bytes = bytes.subspan(1);
    if (++size_ > kMaxHead) {
      refuse(431);
    } else if (c == '\n') {
      std::string_view line = line_;
      if (line.ends_with('\r')) {
        line.remove_suffix(1);
      }
      end_line(line);
      wipe(line_);
    } else if (first_ && c != '\r' && !is_printable(c)) {
      refuse(400);  // another protocol: it need not be read to a line's end
    } else {
      if (line_.capacity() == 0) {
        line_.reserve(256);
      }
      line_ += c;
    }
  }
  return state_;
}

void RequestReader::end_line(std::string_view line) {
  if (first_) {
    // Empty lines before the request are skipped (RFC 9112, section 2.2).
    if (!line.empty()) {
      take_first_line(line);
    }
  } else if (line.empty()) {
    end_head();
  } else if (++headers_ > kMaxHeaders) {
    refuse(431);
  } else {
    take_header(line);
  }
}

void RequestReader::take_first_line(std::string_view line) {
  first_ = false;
  const std::size_t first = line.find(' ');
  const std::size_t last = line.rfind(' ');
  const std::string_view method = line.substr(0, first);
  if (first == last || !is_token(method)) {
    return refuse(400);
  }
  const std::string_view target = line.substr(first + 1, last - first - 1);
  const std::string_view protocol = line.substr(last + 1);
  if (protocol.size() != 8 || !protocol.starts_with("HTTP/") ||
      !is_digit(protocol[5]) || protocol[6] != '.' || !is_digit(protocol[7])) {
    // A version 1 source says "SOURCE password /MOUNT".
    return refuse(method == "SOURCE" ? 405 : 400);
  }
  if (protocol[5] != '1') {
    return refuse(505);
  }
  request_.http11 = protocol[7] != '0';
  if (method != "GET") {
    remember(405);
  } else {
    take_target(target);
  }
}

void RequestReader::take_target(std::string_view target) {
  const std::string_view path = path_of(target);
  if (!path.starts_with('/') || path.find(' ') != std::string_view::npos) {
    return remember(400);
  }
  const std::size_t query = std::min(path.find('?'), path.size());
  const auto mount = without_percent(path.substr(1, query - 1));
  if (!mount || mount->size() > kMaxMount) {
    return remember(400);
  }
  request_.mount = *mount;
}

void RequestReader::take_header(std::string_view line) {
  const std::size_t colon = line.find(':');
  const std::string_view name = line.substr(0, colon);
  // A folded line and a blank before the colon are no token either.
  if (colon == std::string_view::npos || !is_token(name) ||
      std::any_of(line.begin(), line.end(), is_control)) {
    return remember(400);
  }
  take_known(name, trim(line.substr(colon + 1)));
}

void RequestReader::take_known(std::string_view name, std::string_view value) {
  if (equal_text(name, "Ntrip-Version")) {
    request_.version =
        starts_with_text(value, "Ntrip/2") ? Version::k2 : Version::k1;
  } else if (equal_text(name, "Authorization")) {
    if (++logins_ > 1) {
      return remember(400);
    }
    if (auto credentials = parse_basic(value)) {
      request_.user = std::move(credentials->user);
      request_.password = credentials->password;
      wipe(credentials->password);
    }
  } else if (equal_text(name, "User-Agent")) {
    request_.user_agent = value;
  } else if (equal_text(name, "Ntrip-GGA")) {
    request_.gga = value;
  } else if (equal_text(name, "Host")) {
    ++hosts_;
  } else if (equal_text(name, "Content-Length")) {
    if (length_ || value.empty() || value.size() > 18 ||
        !std::all_of(value.begin(), value.end(), is_digit)) {
      remember(400);
    }
    length_ = true;
  } else if (equal_text(name, "Transfer-Encoding")) {
    coding_ = true;
  }
}

void RequestReader::end_head() {
  // Version 1 rovers that say HTTP/1.1 and no host are common practice.
  const bool needs_host = request_.http11 && request_.version == Version::k2;
  if (hosts_ > 1 || (needs_host && hosts_ == 0) || (length_ && coding_)) {
    remember(400);
  }
  if (status_ != 0) {
    return refuse(status_);
  }
  state_ = State::kComplete;
}

void RequestReader::refuse(int status) {
  status_ = status;
  state_ = State::kRefused;
}

}  // namespace stillpoint::ntrip
