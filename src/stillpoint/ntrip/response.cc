#include "stillpoint/ntrip/response.h"

#include <fmt/format.h>

#include <algorithm>

#include "stillpoint/core/text.h"
#include "stillpoint/ntrip/ascii.h"

namespace stillpoint::ntrip {
namespace {

constexpr std::size_t kMaxName = 64;   // of a header behind ICY
constexpr std::size_t kFirstWord = 8;  // "HTTP/1.1", "ICY 200 "

// The three digits at the start of `text`; 0 where they are not there.
int status_of(std::string_view text) {
  text = trim(text);
  if (text.size() < 3 || !is_digit(text[0]) || !is_digit(text[1]) ||
      !is_digit(text[2]) || (text.size() > 3 && is_digit(text[3]))) {
    return 0;
  }
  return (text[0] - '0') * 100 + (text[1] - '0') * 10 + (text[2] - '0');
}

ResponseKind kind_of_status(int status) {
  if (status >= 400 && status <= 599) {
    return ResponseKind::kRefusal;
  }
  return status >= 300 && status <= 399 ? ResponseKind::kRedirect
                                        : ResponseKind::kUnknown;
}

// A web page is not a stream; anything else that a caster calls 200 is.
ResponseKind kind_of_content(std::string_view type) {
  if (starts_with_text(type, "gnss/sourcetable") ||
      starts_with_text(type, "text/plain")) {
    return ResponseKind::kTable;
  }
  return starts_with_text(type, "text/") ? ResponseKind::kUnknown
                                         : ResponseKind::kStream;
}

}  // namespace

Result<bool> ResponseReader::feed(ByteSpan bytes) {
  if (place_ != Place::kDone && !error_) {
    text_.append(bytes.begin(), bytes.end());
    advance();
  }
  return outcome();
}

Result<bool> ResponseReader::finish() {
  if (place_ != Place::kDone && !error_ && !text_.empty()) {
    const bool begun = line_ < text_.size();
    if (begun && (place_ != Place::kPerhapsHeaders || colon_)) {
      end_line();
      line_ = text_.size();
    }
    if (place_ != Place::kDone && !error_) {
      end_head(line_);
    }
  }
  return outcome();
}

ByteSpan ResponseReader::body() const {
  const std::string_view rest = std::string_view(text_).substr(body_);
  return {reinterpret_cast<const std::uint8_t*>(rest.data()), rest.size()};
}

Result<bool> ResponseReader::outcome() const {
  if (error_) {
    return fail(*error_);
  }
  return place_ == Place::kDone;
}

void ResponseReader::advance() {
  while (place_ != Place::kDone && !error_ && at_ < text_.size()) {
    if (at_ >= kMaxHead) {
      error_ = Error{ErrorCode::kTooLarge,
                     fmt::format("the head of the caster's answer is longer "
                                 "than {} bytes",
                                 kMaxHead),
                     {},
                     {}};
      return;
    }
    const char c = text_[at_];
    if (c == '\n') {
      end_line();
      ++at_;
      line_ = at_;
      colon_ = false;
    } else if (fits(c, at_ - line_)) {
      ++at_;
    } else {
      end_head(line_);
    }
  }
}

// Whether a line of this place may hold `c`.
bool ResponseReader::fits(char c, std::size_t column) {
  switch (place_) {
    case Place::kFirstLine:
      // A reason may be in any language; what begins with bytes is no text.
      return (is_printable(c) || c == '\t' || c == '\r' ||
              column >= kFirstWord) &&
             column < kMaxFirstLine;
    case Place::kPerhapsHeaders:
      if (colon_) {
        return is_printable(c) || c == '\t' || c == '\r';
      }
      colon_ = c == ':' && column > 0;
      return colon_ || (c == '\r' && column == 0) ||
             (column < kMaxName &&
              (is_alpha(c) || (column > 0 && (is_digit(c) || c == '-'))));
    case Place::kHeaders:
    case Place::kDone:
      return true;
  }
  return true;
}

// The line from line_ to at_ is whole.
void ResponseReader::end_line() {
  std::string_view line = std::string_view(text_).substr(line_, at_ - line_);
  if (line.ends_with('\r')) {
    line.remove_suffix(1);
  }
  if (place_ == Place::kFirstLine) {
    take_first_line(line);
    return;
  }
  if (line.empty()) {
    if (head_.status >= 100 && head_.status < 200) {
      head_ = {};
      place_ = Place::kFirstLine;
      return;
    }
    end_head(std::min(at_ + 1, text_.size()));
    return;
  }
  if (place_ == Place::kPerhapsHeaders && !colon_) {
    end_head(line_);
    return;
  }
  take_header(line);
}

void ResponseReader::take_first_line(std::string_view line) {
  head_.first_line = line;
  const std::size_t blank = std::min(line.find(' '), line.size());
  const std::string_view word = line.substr(0, blank);
  const int status = status_of(line.substr(blank));
  if (starts_with_text(word, "HTTP/1.") && status != 0) {
    head_.status = status;
    head_.kind = kind_of_status(status);
    place_ = Place::kHeaders;
    return;
  }
  const bool table = equal_text(word, "SOURCETABLE");
  if ((table || equal_text(word, "ICY")) && status != 0) {
    head_.status = status;
    head_.version = 1;
    head_.kind = status == 200
                     ? (table ? ResponseKind::kTable : ResponseKind::kStream)
                     : kind_of_status(status);
    place_ = Place::kPerhapsHeaders;
    return;
  }
  if (equal_text(word, "ERROR")) {
    head_.version = 1;
    head_.kind = ResponseKind::kRefusal;
    end_head(std::min(at_ + 1, text_.size()));
    return;
  }
  end_head(0);
}

void ResponseReader::take_header(std::string_view line) {
  const std::size_t colon = line.find(':');
  if (colon == std::string_view::npos) {
    return;  // a folded or damaged line costs only itself
  }
  const std::string_view name = trim(line.substr(0, colon));
  const std::string_view value = trim(line.substr(colon + 1));
  if (equal_text(name, "Content-Length")) {
    take_length(value);
  } else if (equal_text(name, "Transfer-Encoding")) {
    take_coding(value);
  } else if (equal_text(name, "Ntrip-Version")) {
    head_.ntrip_version = value;
  } else if (equal_text(name, "Content-Type")) {
    head_.content_type = value;
  } else if (equal_text(name, "WWW-Authenticate")) {
    head_.www_authenticate = value;
  } else if (equal_text(name, "Location")) {
    head_.location = value;
  }
}

void ResponseReader::take_length(std::string_view value) {
  const auto length = parse_int(value);
  if (!length || *length < 0) {
    return;  // then the body goes on until the caster closes
  }
  const auto bytes = static_cast<std::uint64_t>(*length);
  if (head_.content_length && *head_.content_length != bytes) {
    error_ = Error{ErrorCode::kBadFormat,
                   fmt::format("the caster's answer has two lengths, {} and {}",
                               *head_.content_length,
                               bytes),
                   {},
                   {}};
  }
  head_.content_length = bytes;
}

void ResponseReader::take_coding(std::string_view value) {
  if (equal_text(value, "chunked")) {
    head_.chunked = true;
  } else if (!equal_text(value, "identity")) {
    error_ = Error{ErrorCode::kUnsupported,
                   "the caster's answer is coded as '" + for_people(value) +
                       "'; only chunked is known",
                   {},
                   {}};
  }
}

void ResponseReader::end_head(std::size_t body) {
  if (head_.chunked) {
    head_.content_length.reset();
  }
  if (starts_with_text(head_.ntrip_version, "Ntrip/2")) {
    head_.version = 2;
  }
  if (place_ == Place::kHeaders && head_.status == 200) {
    head_.kind = kind_of_content(head_.content_type);
  }
  place_ = Place::kDone;
  body_ = body;
}

}  // namespace stillpoint::ntrip
