// A minute of a measured quantity in five numbers, kept for years where the
// samples themselves are not.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint {

class Database;

struct MinuteAggregate {
  GnssTime minute;  // its start, a whole minute of GPST
  std::int64_t count = 0;
  double sum = 0, min = 0, max = 0;  // unit of the name's suffix
  friend bool operator==(const MinuteAggregate&,
                         const MinuteAggregate&) = default;
};

// The name says quantity and unit: "cn0_mean_dbhz.G.1C", "rovers_count".
struct NamedMinute {
  std::string name;  // one line of UTF-8, 1..80 bytes
  MinuteAggregate values;
};

// threads  as its Store
class Minutes {
 public:
  static constexpr std::size_t kMostMinutes = 144'000;  // of one answer

  // For Store, which has the connection.
  explicit Minutes(Database& database) : database_(&database) {}

  // Adds a batch, all of it or nothing. Where a minute of that name is there
  // already (a restart within the minute), the two parts are joined: counts
  // and sums added, the smaller minimum and the larger maximum kept. So every
  // sample is handed in once.
  //
  //   errors   kOutOfRange for a name, an instant that is no whole minute, a
  //            count below 1, values that are not finite or min > max; kIo
  Status add(std::span<const NamedMinute> batch);

  // The minutes of one name with from <= minute < end, oldest first.
  //
  //   errors   kTooLarge where there are more than kMostMinutes; kIo
  [[nodiscard]] Result<std::vector<MinuteAggregate>> read(std::string_view name,
                                                          GnssTime from,
                                                          GnssTime end) const;

  // Every name that was ever added, sorted.
  [[nodiscard]] Result<std::vector<std::string>> names() const;

  // Deletes every minute that began before `first_kept`. The file does not
  // shrink; its room is used again.
  //
  //   returns  how many were deleted
  Result<std::int64_t> erase_before(GnssTime first_kept);

 private:
  Database* database_;
};

}  // namespace stillpoint
