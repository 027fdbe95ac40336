// Which refusals become entries of the logbook: ten an hour, the rest is
// counted, so that a stranger who guesses does not fill the card. Internal.
#pragma once

#include <cstdint>
#include <optional>

#include "stillpoint/time/gnss_time.h"

namespace stillpoint::people {

class RefusalLog {
 public:
  static constexpr int kMostAnHour = 10;

  // Whether this refusal becomes an entry; else it is counted.
  bool admit(GnssTime now);
  // Counts one that is no entry in any case.
  void leave_out(GnssTime now);
  // Once the hour is over: how many were counted in it, where any were. They
  // are then forgotten.
  std::optional<std::int64_t> take_left_out(GnssTime now);

 private:
  // An hour begins with its first refusal; a clock that was set back ends it.
  [[nodiscard]] bool hour_is_over(GnssTime now) const;
  void begin_if_over(GnssTime now);

  GnssTime begin_;
  bool begun_ = false;
  int entries_ = 0;
  std::int64_t left_out_ = 0;
};

}  // namespace stillpoint::people
