// What a rover says on its open connection: positions, of which the last one is
// kept, and whatever else, which is dropped.
#pragma once

#include <cstddef>
#include <string>

#include "stillpoint/core/bytes.h"

namespace stillpoint::ntrip {

// Bounded: two lines at most. However the bytes are split, last() is the same.
class GgaKeeper {
 public:
  // NMEA 0183 has 82; high-precision receivers send a few more.
  static constexpr std::size_t kMaxLine = 120;

  void feed(ByteSpan bytes);

  // "$GPGGA,…*hh" without its end, checksum right; empty if none came.
  [[nodiscard]] const std::string& last() const { return last_; }

 private:
  void end_line();

  std::string line_, last_;
  bool skipping_ = false;  // up to the next line's begin
};

}  // namespace stillpoint::ntrip
