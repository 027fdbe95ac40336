// Damage on request for recorded bytes, to see what a reader of the stream
// makes of it. The same seed damages the same bytes.
#pragma once

#include <cstdint>
#include <random>
#include <vector>

#include "stillpoint/core/bytes.h"

namespace stillpoint::intake {

struct FaultOptions {
  double drop = 0;  // share of the pieces that are left out, 0 .. 1
  double flip = 0;  // share of the bytes in which one bit is turned, 0 .. 1
  std::uint32_t seed = 1;
};

struct FaultCounts {
  std::uint64_t pieces_dropped = 0, bytes_dropped = 0, bits_flipped = 0;
};

class Faults {
 public:
  explicit Faults(FaultOptions options)
      : options_(options), random_(options.seed) {}

  // A piece (a frame, or the bytes between frames) as it goes out; empty when
  // it is dropped. Valid until the next call.
  ByteSpan apply(ByteSpan piece);
  [[nodiscard]] const FaultCounts& counts() const { return counts_; }

 private:
  FaultOptions options_;
  FaultCounts counts_;
  std::mt19937 random_;
  std::vector<std::uint8_t> piece_;
};

}  // namespace stillpoint::intake
