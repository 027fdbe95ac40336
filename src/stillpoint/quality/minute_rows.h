// Samples of named quantities gathered minute by minute, in five numbers each.
#pragma once

#include <cstddef>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/time/gnss_time.h"

namespace stillpoint::quality {

// One minute of one quantity. Parts of a minute may be handed out apart, and
// are joined by adding counts and sums.
struct MinuteRow {
  std::string name;  // "cn0_mean_dbhz.G.1C"
  GnssTime minute;   // its start, a whole minute of GPST
  std::int64_t count = 0;
  double sum = 0, min = 0, max = 0;  // unit of the name
  friend bool operator==(const MinuteRow&, const MinuteRow&) = default;
};

// Start of the minute of GPST that holds t.
GnssTime minute_of(GnssTime t);

class MinuteRows {
 public:
  // Rows that wait to be taken; of more, the oldest go.
  static constexpr std::size_t kMostWaiting = 20'000;

  // `times` samples of one finite value in the minute of t. A sample of
  // another minute than the last one's completes that minute.
  void add(const std::string& name,
           GnssTime t,
           double value,
           std::uint64_t times = 1);

  // The rows of all minutes that are over at `now` or complete, by name within
  // a minute; each sample is handed out once.
  std::vector<MinuteRow> take(GnssTime now);

  // Rows that nobody took in time.
  [[nodiscard]] std::uint64_t lost() const { return lost_; }
  // All samples so far lie so many weeks later than they were said to.
  void move(int weeks);

 private:
  struct Sums {
    std::int64_t count = 0;
    double sum = 0, min = 0, max = 0;
  };
  void close();

  std::optional<GnssTime> open_;      // minute in work
  std::map<std::string, Sums> sums_;  // of it
  std::vector<MinuteRow> waiting_;
  std::uint64_t lost_ = 0;
};

}  // namespace stillpoint::quality
