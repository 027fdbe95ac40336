// Lines out of a ByteStream, without a copy per line; where the stream lies in
// memory, without any copy.
#pragma once

#include <cstddef>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/pack/byte_stream.h"

namespace stillpoint {

// Hands out one line at a time without its end (LF, CRLF). Longest line:
// kMaxLine bytes, longer is kTooLarge (random files have no line ends).
class LineReader {
 public:
  static constexpr std::size_t kMaxLine = std::size_t{64} * 1024;

  explicit LineReader(std::unique_ptr<ByteStream> stream);

  // Next line into `line`, valid until the next call; false at the end.
  Result<bool> next(std::string_view& line);

  // 1 for the first line handed out.
  [[nodiscard]] std::size_t line_number() const { return number_; }
  [[nodiscard]] const std::string& name() const { return stream_->name(); }
  // "path:line" for messages.
  [[nodiscard]] std::string where() const;

 private:
  Result<bool> refill();

  std::unique_ptr<ByteStream> stream_;
  std::vector<char> buffer_;    // empty when the stream lies in memory
  const char* data_ = nullptr;  // the buffer, or the stream's own bytes
  std::size_t begin_ = 0, end_ = 0;
  std::size_t number_ = 0;
  bool ended_ = false;
};

}  // namespace stillpoint
