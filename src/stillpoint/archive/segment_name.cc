#include "stillpoint/archive/segment_name.h"

#include <fmt/core.h>

#include <algorithm>
#include <utility>

#include "stillpoint/archive/file_steps.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::archive {
namespace {

constexpr std::size_t kYearDigits = 4, kDayDigits = 3, kHourDigits = 2;

// Exactly as many digits as the text is long.
std::optional<int> digits(std::string_view text) {
  constexpr std::size_t kMost = 6;
  if (text.empty() || text.size() > kMost) {
    return std::nullopt;
  }
  int value = 0;
  for (const char c : text) {
    if (c < '0' || c > '9') {
      return std::nullopt;
    }
    value = value * 10 + (c - '0');
  }
  return value;
}

std::optional<int> fixed(std::string_view text, std::size_t width) {
  return text.size() == width ? digits(text) : std::nullopt;
}

// Names of `width` digits in a folder, in order.
FileResult<std::vector<std::string>> numbered(FileSystem& files,
                                              const std::string& path,
                                              std::size_t width) {
  auto entries = list_if_there(files, path);
  if (!entries) {
    return tl::unexpected<FileError>(entries.error());
  }
  std::vector<std::string> names;
  for (DirectoryEntry& entry : *entries) {
    if (entry.directory && fixed(entry.name, width)) {
      names.push_back(std::move(entry.name));
    }
  }
  std::sort(names.begin(), names.end());
  return names;
}

}  // namespace

UtcHour utc_hour(GnssTime t) {
  const Calendar c = to_calendar(t, TimeScale::kUtc);
  return {c.year, day_of_year(c), c.hour};
}

std::string SegmentName::folder() const {
  return fmt::format("{:04}/{:03}", hour.year, hour.day);
}

std::string SegmentName::path() const {
  return fmt::format("{}/{:02}{}.seg",
                     folder(),
                     hour.hour,
                     number == 0 ? "" : fmt::format("-{}", number));
}

std::optional<SegmentName> parse_segment_path(std::string_view path) {
  SegmentName name;
  constexpr std::string_view kSegment = ".seg";
  constexpr std::size_t kDayAt = kYearDigits + 1;
  constexpr std::size_t kHourAt = kDayAt + kDayDigits + 1;
  if (!path.ends_with(kSegment) ||
      path.size() < kHourAt + kHourDigits + kSegment.size() ||
      path[kYearDigits] != '/' || path[kHourAt - 1] != '/') {
    return std::nullopt;
  }
  path.remove_suffix(kSegment.size());
  const auto year = digits(path.substr(0, kYearDigits));
  const auto day = digits(path.substr(kDayAt, kDayDigits));
  const auto hour = digits(path.substr(kHourAt, kHourDigits));
  std::string_view rest = path.substr(kHourAt + kHourDigits);
  if (!rest.empty()) {
    const auto number = rest[0] == '-' ? digits(rest.substr(1)) : std::nullopt;
    if (!number || *number == 0 || rest[1] == '0') {
      return std::nullopt;
    }
    name.number = *number;
  }
  if (!year || !day || !hour || *day < 1 || *day > 366 || *hour > 23) {
    return std::nullopt;
  }
  name.hour = {*year, *day, *hour};
  return name;
}

FileResult<std::vector<std::string>> day_folders(FileSystem& files,
                                                 const std::string& root,
                                                 const UtcHour& first,
                                                 const UtcHour& last) {
  auto years = numbered(files, root, kYearDigits);
  if (!years) {
    return years;
  }
  std::vector<std::string> folders;
  for (const std::string& year : *years) {
    const int y = digits(year).value_or(0);
    if (y < first.year || y > last.year) {
      continue;
    }
    std::string path = root;
    path.append("/").append(year);
    auto days = numbered(files, path, kDayDigits);
    if (!days) {
      return days;
    }
    for (const std::string& day : *days) {
      const int d = digits(day).value_or(0);
      const bool before = y == first.year && d < first.day;
      const bool after = y == last.year && d > last.day;
      if (!before && !after) {
        std::string name = year;
        name.append("/").append(day);
        folders.push_back(std::move(name));
      }
    }
  }
  return folders;
}

FileResult<std::vector<SegmentName>> segments_in(FileSystem& files,
                                                 const std::string& root,
                                                 const std::string& folder) {
  auto entries = list_if_there(files, root + "/" + folder);
  if (!entries) {
    return tl::unexpected<FileError>(entries.error());
  }
  std::vector<SegmentName> names;
  for (const DirectoryEntry& entry : *entries) {
    const auto name = parse_segment_path(folder + "/" + entry.name);
    if (name && !entry.directory) {
      names.push_back(*name);
    }
  }
  std::sort(names.begin(), names.end());
  return names;
}

}  // namespace stillpoint::archive
