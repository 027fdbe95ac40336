// The RTCM messages of a stream that goes on: how many, how often, and the
// list of them that a source table shows.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/core/bytes.h"
#include "stillpoint/intake/live_snapshot.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::intake {

// Median time between events, out of the last few.
class Period {
 public:
  // Events closer together than `least_s` are one (a burst of ephemerides), as
  // are those of one instant (the messages of an epoch).
  void at(GnssTime t, double least_s);
  [[nodiscard]] std::optional<double> median_s() const;

 private:
  static constexpr std::size_t kSteps = 15;
  std::optional<GnssTime> last_;
  std::array<float, kSteps> steps_s_{};
  std::size_t steps_ = 0;  // that were seen
};

// Events of the last minute, by the second.
class LastMinute {
 public:
  void add(std::int64_t second);
  // In the 60 s up to and with `second`.
  [[nodiscard]] std::uint64_t count(std::int64_t second) const;

 private:
  static constexpr std::int64_t kSeconds = 60;
  std::array<std::uint32_t, kSeconds> counts_{};
  std::int64_t newest_ = 0;
  bool begun_ = false;
};

class LiveMessages {
 public:
  static constexpr std::size_t kMostTypes = 4096;  // RTCM cannot number more
  // A source table's line has an end; of more types the lowest are listed.
  static constexpr std::size_t kMostListed = 64;

  // A whole frame with a good CRC; `type` is missing for one of length 0.
  void add(std::optional<int> type,
           ByteSpan frame,
           std::optional<GnssTime> received);

  // By type, those without one first.
  //
  //   now  on the clock of the receive times; without it there are no rates
  [[nodiscard]] std::vector<LiveMessage> list(
      std::optional<GnssTime> now) const;

  // "1005(10),1077(1)": type and period in whole seconds, below one second
  // with two digits; a type that came once stands alone. Types that fell
  // silent (an hour, or ten of their periods) are left out.
  //
  //   source   RTCM 10410.1 as in tests/vectors/ntrip.txt
  [[nodiscard]] std::string details() const;

 private:
  struct Tally {
    std::uint64_t count = 0, bytes = 0;
    std::optional<GnssTime> seen;  // receive time
    Period period;
    LastMinute minute;
  };
  void time(Tally& tally, ByteSpan frame, std::optional<GnssTime> received);
  [[nodiscard]] bool is_silent(const Tally& tally) const;

  std::map<std::optional<int>, Tally> tallies_;
  // Epoch of the message before, in a week of its own: only differences matter.
  GnssTime near_ = GnssTime::from_gps_week(2400, 302'400);
  bool any_epoch_ = false;
  std::optional<GnssTime> first_, last_;  // receive times
};

}  // namespace stillpoint::intake
