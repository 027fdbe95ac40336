#include "stillpoint/ntrip/chunked.h"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <utility>

#include "stillpoint/ntrip/ascii.h"

namespace stillpoint::ntrip {
namespace {

std::optional<unsigned> hex_digit(char c) {
  if (is_digit(c)) {
    return static_cast<unsigned>(c - '0');
  }
  const char lower = to_lower(c);
  if (lower >= 'a' && lower <= 'f') {
    return static_cast<unsigned>(lower - 'a') + 10;
  }
  return std::nullopt;
}

std::string name_of(char byte) {
  return is_printable(byte)
             ? fmt::format("'{}'", byte)
             : fmt::format("byte {:02X}", static_cast<unsigned char>(byte));
}

}  // namespace

Result<ByteSpan> ChunkedDecoder::next(ByteSpan& bytes) {
  while (!bytes.empty() && state_ != State::kDone && state_ != State::kFailed) {
    if (state_ == State::kData) {
      const std::size_t n = static_cast<std::size_t>(
          std::min<std::uint64_t>(left_, bytes.size()));
      const ByteSpan piece = bytes.first(n);
      bytes = bytes.subspan(n);
      left_ -= n;
      if (left_ == 0) {
        state_ = State::kDataEnd;
      }
      return piece;
    }
    const char byte = static_cast<char>(bytes.front());
    bytes = bytes.subspan(1);
    step(byte);
  }
  if (state_ == State::kFailed) {
    return fail(
        ErrorCode::kBadFormat, why_, "chunk " + std::to_string(number_));
  }
  return ByteSpan{};
}

void ChunkedDecoder::step(char byte) {
  switch (state_) {
    case State::kSize:
    case State::kBehind:
    case State::kExtension:
    case State::kSizeCr:
      step_size(byte);
      break;
    case State::kDataEnd:
      if (byte == '\r') {
        state_ = State::kDataCr;
        break;
      }
      [[fallthrough]];
    case State::kDataCr:
      if (byte == '\n') {
        ++number_;
        begin_chunk();
      } else {
        give_up("ends with " + name_of(byte) + " where a line end should be");
      }
      break;
    case State::kTrailer:
      step_trailer(byte);
      break;
    case State::kData:
    case State::kDone:
    case State::kFailed:
      break;
  }
}

void ChunkedDecoder::step_size(char byte) {
  if (++line_ > kMaxLine) {
    give_up(fmt::format("size line of more than {} bytes", kMaxLine));
    return;
  }
  if (byte == '\n') {
    end_size_line();
    return;
  }
  if (state_ == State::kExtension) {
    return;
  }
  if (state_ != State::kSizeCr) {
    if (byte == '\r') {
      state_ = State::kSizeCr;
      return;
    }
    if (byte == ';' && digits_) {
      state_ = State::kExtension;
      return;
    }
    if (byte == ' ' || byte == '\t') {
      state_ = digits_ ? State::kBehind : State::kSize;
      return;
    }
  }
  const auto digit = hex_digit(byte);
  if (state_ != State::kSize || !digit) {
    give_up("size line holds " + name_of(byte));
    return;
  }
  digits_ = true;
  left_ = left_ * 16 + *digit;
  if (left_ > kMaxChunk) {
    give_up(fmt::format("size is more than {} bytes", kMaxChunk));
  }
}

void ChunkedDecoder::step_trailer(char byte) {
  if (++line_ > kMaxTrailers) {
    give_up(fmt::format("more than {} bytes of lines behind it", kMaxTrailers));
  } else if (byte == '\n') {
    state_ = empty_line_ ? State::kDone : State::kTrailer;
    empty_line_ = true;
  } else if (byte != '\r') {
    empty_line_ = false;
  }
}

void ChunkedDecoder::begin_chunk() {
  state_ = State::kSize;
  digits_ = false;
  line_ = 0;
  left_ = 0;
}

void ChunkedDecoder::end_size_line() {
  if (!digits_) {
    give_up("size line without a size");
    return;
  }
  state_ = left_ > 0 ? State::kData : State::kTrailer;
  line_ = 0;
}

void ChunkedDecoder::give_up(std::string why) {
  state_ = State::kFailed;
  why_ = std::move(why);
}

}  // namespace stillpoint::ntrip
