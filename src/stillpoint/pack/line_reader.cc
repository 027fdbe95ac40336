#include "stillpoint/pack/line_reader.h"

#include <cstring>
#include <span>
#include <utility>

namespace stillpoint {
namespace {

// Two longest lines, and big enough for few and fast reads.
constexpr std::size_t kBuffer = std::size_t{256} * 1024;
static_assert(kBuffer >= 2 * LineReader::kMaxLine);

}  // namespace

LineReader::LineReader(std::unique_ptr<ByteStream> stream)
    : stream_(std::move(stream)) {
  const std::span<const char> whole = stream_->in_memory();
  if (whole.empty()) {
    buffer_.resize(kBuffer);
    data_ = buffer_.data();
    return;
  }
  data_ = whole.data();
  end_ = whole.size();
  ended_ = true;
}

std::string LineReader::where() const {
  return name() + ":" + std::to_string(number_);
}

// Moves the unfinished line to the front and reads behind it; false at the
// end of the stream.
Result<bool> LineReader::refill() {
  if (ended_) {
    return false;
  }
  std::memmove(buffer_.data(), buffer_.data() + begin_, end_ - begin_);
  end_ -= begin_;
  begin_ = 0;
  auto got = stream_->read(std::span(buffer_).subspan(end_));
  if (!got) {
    Error error = std::move(got.error());
    error.where = where();
    return fail(std::move(error));
  }
  end_ += *got;
  ended_ = *got == 0;
  return !ended_;
}

Result<bool> LineReader::next(std::string_view& line) {
  std::size_t looked_at = 0;
  for (;;) {
    const char* const start = data_ + begin_;
    const std::size_t have = end_ - begin_;
    // NULL for an empty search is fine, a search past the buffer is not.
    const void* const found =
        have == looked_at
            ? nullptr
            : std::memchr(start + looked_at, '\n', have - looked_at);
    std::size_t length = have;
    if (found != nullptr) {
      length =
          static_cast<std::size_t>(static_cast<const char*>(found) - start);
    }
    if (length > kMaxLine) {
      return fail(ErrorCode::kTooLarge,
                  "a line of more than " + std::to_string(kMaxLine) +
                      " bytes; this is no text file of a known kind",
                  name() + ":" + std::to_string(number_ + 1));
    }
    if (found == nullptr) {
      looked_at = have;
      auto more = refill();
      if (!more) {
        return more;
      }
      if (*more) {
        continue;
      }
      if (have == 0) {
        return false;
      }
    }
    begin_ += found != nullptr ? length + 1 : length;
    ++number_;
    // refill() may have moved the line to the front.
    const char* const text =
        data_ + (begin_ - length - (found != nullptr ? 1 : 0));
    line = std::string_view(text, length);
    if (line.ends_with('\r')) {
      line.remove_suffix(1);
    }
    return true;
  }
}

}  // namespace stillpoint
