#include "stillpoint/net/http_body.h"

#include <algorithm>
#include <optional>

namespace stillpoint::net {
namespace {

std::optional<unsigned> hex_digit(char c) {
  if (c >= '0' && c <= '9') {
    return static_cast<unsigned>(c - '0');
  }
  if (c >= 'a' && c <= 'f') {
    return static_cast<unsigned>(c - 'a') + 10U;
  }
  if (c >= 'A' && c <= 'F') {
    return static_cast<unsigned>(c - 'A') + 10U;
  }
  return std::nullopt;
}

bool is_blank(char c) {
  return c == ' ' || c == '\t';
}

}  // namespace

HttpBodyReader::HttpBodyReader(const BodyFields& how, std::size_t limit)
    : limit_(limit) {
  if (how.coded) {
    state_ = State::kMore;
    step_ = Step::kSize;
  } else if (how.length > limit) {
    refuse(413);
  } else if (how.length > 0) {
    state_ = State::kMore;
    left_ = how.length;
  }
}

HttpBodyReader::State HttpBodyReader::feed(std::string_view& bytes) {
  while (state_ == State::kMore && !bytes.empty()) {
    if (step_ == Step::kCounted || step_ == Step::kData) {
      take_data(bytes);
    } else {
      const char c = bytes.front();
      bytes.remove_prefix(1);
      take_step(c);
    }
  }
  return state_;
}

void HttpBodyReader::take_data(std::string_view& bytes) {
  const auto count =
      static_cast<std::size_t>(std::min<std::uint64_t>(left_, bytes.size()));
  body_.append(bytes.substr(0, count));
  bytes.remove_prefix(count);
  left_ -= count;
  if (left_ > 0) {
    return;
  }
  if (step_ == Step::kCounted) {
    complete();
  } else {
    step_ = Step::kDataEnd;
  }
}

void HttpBodyReader::take_step(char c) {
  switch (step_) {
    case Step::kSize:
    case Step::kBlank:
    case Step::kExtension:
      take_size(c);
      break;
    case Step::kSizeEnd:
      if (c == '\n') {
        end_size();
      } else {
        refuse(400);
      }
      break;
    case Step::kDataEnd:
      expect(c, '\r', Step::kDataLf);
      break;
    case Step::kDataLf:
      expect(c, '\n', Step::kSize);
      break;
    case Step::kTrailer:
    case Step::kTrailerName:
    case Step::kTrailerValue:
      take_trailer(c);
      break;
    case Step::kTrailerLf:
      expect(c, '\n', Step::kTrailer);
      break;
    case Step::kLastLf:
      if (c == '\n') {
        complete();
      } else {
        refuse(400);
      }
      break;
    case Step::kCounted:
    case Step::kData:
      break;  // feed() hands them to take_data()
  }
}

// Its overflow is refused by the number of digits.
void HttpBodyReader::take_size(char c) {
  const auto digit = step_ == Step::kSize ? hex_digit(c) : std::nullopt;
  if (digit) {
    left_ = left_ * 16 + *digit;
    if (++digits_ > kMaxSizeDigits) {
      refuse(400);
    }
  } else if (digits_ == 0) {
    refuse(400);
  } else if (c == '\r' && step_ != Step::kBlank) {
    step_ = Step::kSizeEnd;
  } else if (take_beside(c, 400) && step_ != Step::kExtension) {
    if (c == ';') {
      step_ = Step::kExtension;
    } else if (is_blank(c)) {
      step_ = Step::kBlank;
    } else {
      refuse(400);
    }
  }
}

void HttpBodyReader::end_size() {
  if (left_ == 0) {
    step_ = Step::kTrailer;
  } else if (left_ > limit_ - body_.size()) {
    refuse(413);
  } else {
    digits_ = 0;
    step_ = Step::kData;
  }
}

// Their content means nothing here; their form must be that of fields.
void HttpBodyReader::take_trailer(char c) {
  if (c == '\r' && step_ == Step::kTrailer) {
    step_ = Step::kLastLf;
  } else if (c == '\r' && step_ == Step::kTrailerValue) {
    step_ = Step::kTrailerLf;
  } else if (take_beside(c, 431) && step_ != Step::kTrailerValue) {
    if (is_blank(c) || (c == ':' && step_ == Step::kTrailer)) {
      refuse(400);
    } else {
      step_ = c == ':' ? Step::kTrailerValue : Step::kTrailerName;
    }
  }
}

void HttpBodyReader::expect(char c, char wanted, Step then) {
  if (c == wanted) {
    step_ = then;
  } else {
    refuse(400);
  }
}

bool HttpBodyReader::take_beside(char c, int too_many) {
  if ((c >= '\0' && c < ' ' && c != '\t') || c == '\x7F') {
    refuse(400);
    return false;
  }
  if (++beside_ > kMaxBeside) {
    refuse(too_many);
    return false;
  }
  return true;
}

void HttpBodyReader::refuse(int status) {
  state_ = State::kRefused;
  status_ = status;
  body_ = {};
}

}  // namespace stillpoint::net
