// The body of a reply that comes in chunks, taken apart as it arrives.
//
//   source   RFC 9112, section 7.1. More is taken than it allows: lines that
//            end with LF alone, blanks around the size.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>

#include "stillpoint/core/bytes.h"
#include "stillpoint/core/result.h"

namespace stillpoint::ntrip {

// However the bytes are split, the pieces joined are the same, and so is the
// error. Keeps no bytes.
class ChunkedDecoder {
 public:
  static constexpr std::size_t kMaxLine = 4096;  // size and extensions
  static constexpr std::uint64_t kMaxChunk = std::uint64_t{1} << 31;
  static constexpr std::size_t kMaxTrailers = std::size_t{64} * 1024;

  // The next piece of the body, a part of `bytes`, which loses it and what
  // stood before it. Empty when `bytes` is used up or the body has ended; what
  // follows the body stays in `bytes`.
  //
  //   errors   kBadFormat, from then on at every call
  Result<ByteSpan> next(ByteSpan& bytes);

  // The empty chunk and the lines behind it have come.
  [[nodiscard]] bool done() const { return state_ == State::kDone; }

 private:
  enum class State : std::uint8_t {
    kSize,       // before or in the digits
    kBehind,     // blanks behind the digits
    kExtension,  // from ';' to the end of the line
    kSizeCr,     // LF must follow
    kData,
    kDataEnd,  // CR or LF must follow
    kDataCr,   // LF must follow
    kTrailer,
    kDone,
    kFailed,
  };

  void step(char byte);
  void step_size(char byte);
  void step_trailer(char byte);
  void begin_chunk();
  void end_size_line();
  void give_up(std::string why);

  State state_ = State::kSize;
  bool digits_ = false;
  std::size_t line_ = 0;      // bytes of the size line, or of all trailers
  std::uint64_t left_ = 0;    // of the chunk
  std::uint64_t number_ = 1;  // of the chunk, for messages
  bool empty_line_ = true;    // trailer
  std::string why_;
};

}  // namespace stillpoint::ntrip
