// What a rover makes of the bytes it gets: the answer's head, chunk framing
// where the answer names it, and stamped frames, each checked to follow the one
// before it.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "load/stamp_frame.h"
#include "stillpoint/core/bytes.h"

namespace stillpoint::bench {

class StreamCheck {
 public:
  // Appends the stamps of the frames that these bytes complete.
  void feed(ByteSpan bytes, std::vector<Stamp>& stamps);

  [[nodiscard]] bool streaming() const { return place_ != Place::kHead; }
  // The status of the answer: 200, 404, …; 0 before.
  [[nodiscard]] int status() const { return status_; }
  [[nodiscard]] bool any() const { return frames_ > 0; }
  // Whether what came is whole frames, one after the other, to the byte; what
  // follows the last whole frame does not count.
  [[nodiscard]] bool exact() const {
    return faults_ == 0 && body_bytes_ - pending_.size() ==
                               std::uint64_t{last_ - first_ + 1} * frame_bytes_;
  }

  [[nodiscard]] std::uint64_t wire_bytes() const { return wire_bytes_; }
  [[nodiscard]] std::uint64_t body_bytes() const { return body_bytes_; }
  [[nodiscard]] std::uint64_t frames() const { return frames_; }
  // Gaps, frames with a bad CRC, bytes that are no frame, bad chunk framing.
  [[nodiscard]] std::uint64_t faults() const { return faults_; }
  [[nodiscard]] std::uint32_t first() const { return first_; }
  [[nodiscard]] std::uint32_t last() const { return last_; }

 private:
  enum class Place : std::uint8_t { kHead, kBody, kSize, kChunk, kChunkEnd };

  void head_ends();
  void take_line(std::uint8_t byte);
  void body(ByteSpan bytes, std::vector<Stamp>& stamps);

  Place place_ = Place::kHead;
  std::string line_;  // of the head or the framing
  std::string head_;
  std::size_t chunk_left_ = 0;
  std::vector<std::uint8_t> pending_;  // the beginning of a frame
  int status_ = 0;
  std::uint64_t wire_bytes_ = 0, body_bytes_ = 0, frames_ = 0, faults_ = 0;
  std::size_t frame_bytes_ = 0;
  std::uint32_t first_ = 0, last_ = 0;
};

}  // namespace stillpoint::bench
