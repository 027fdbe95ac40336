// Where a segment stands: raw/YYYY/DDD/HH.seg, by the UTC hour in which its
// bytes were received (DDD: day of the year). A second segment of the same hour
// is HH-1.seg, and so on.
#pragma once

#include <compare>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/core/file_system.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::archive {

// An hour of UTC. A leap second belongs to the hour that it ends.
struct UtcHour {
  int year = 0;
  int day = 0;   // of the year, 1..366
  int hour = 0;  // 0..23
  friend auto operator<=>(const UtcHour&, const UtcHour&) = default;
};
UtcHour utc_hour(GnssTime t);

struct SegmentName {
  UtcHour hour;
  int number = 0;  // 0 for the first of its hour

  friend auto operator<=>(const SegmentName&, const SegmentName&) = default;
  // "2026/329/17-1.seg", below the archive's folder.
  [[nodiscard]] std::string path() const;
  [[nodiscard]] std::string folder() const;  // "2026/329"
};

// The reverse; nothing for any other text.
std::optional<SegmentName> parse_segment_path(std::string_view path);

// The archive's day folders ("2026/329") within two hours, both included, in
// order; what looks like none is passed over.
FileResult<std::vector<std::string>> day_folders(FileSystem& files,
                                                 const std::string& root,
                                                 const UtcHour& first,
                                                 const UtcHour& last);
inline constexpr UtcHour kFirstHour{0, 0, 0};
inline constexpr UtcHour kLastHour{9999, 366, 23};

// The segments of one day folder in the order of their names.
FileResult<std::vector<SegmentName>> segments_in(FileSystem& files,
                                                 const std::string& root,
                                                 const std::string& folder);

}  // namespace stillpoint::archive
