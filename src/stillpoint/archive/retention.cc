#include "stillpoint/archive/retention.h"

#include <algorithm>
#include <set>

#include "stillpoint/archive/file_steps.h"

namespace stillpoint::archive {

std::vector<SegmentName> to_remove(std::vector<StoredSegment> stored,
                                   const RetentionRule& rule,
                                   GnssTime now,
                                   const SegmentName& keep) {
  std::sort(stored.begin(),
            stored.end(),
            [](const StoredSegment& a, const StoredSegment& b) {
              return a.name < b.name;
            });
  std::uint64_t total = 0;
  for (const StoredSegment& segment : stored) {
    total += segment.size;
  }
  // An hour is too old once its last moment is.
  constexpr double kHourS = 3600;
  const UtcHour first_kept = utc_hour(now - Duration{rule.most_age.s + kHourS});
  const UtcHour present = utc_hour(now);
  std::vector<SegmentName> names;
  for (const StoredSegment& segment : stored) {
    const bool old =
        rule.most_age > Duration{0} && segment.name.hour <= first_kept;
    const bool too_much = rule.most_bytes > 0 && total > rule.most_bytes;
    if (segment.name == keep || segment.name.hour > present ||
        !(old || too_much)) {
      continue;
    }
    total -= segment.size;
    names.push_back(segment.name);
  }
  return names;
}

Result<std::vector<StoredSegment>> stored_segments(FileSystem& files,
                                                   const std::string& root) {
  const auto folders = day_folders(files, root, kFirstHour, kLastHour);
  if (!folders) {
    return fail(folders.error().error());
  }
  std::vector<StoredSegment> stored;
  for (const std::string& folder : *folders) {
    const auto names = segments_in(files, root, folder);
    if (!names) {
      return fail(names.error().error());
    }
    for (const SegmentName& name : *names) {
      const std::string path = root + "/" + name.path();
      const auto size = uninterrupted([&] { return files.size(path); });
      if (!size) {
        return fail(size.error().error());
      }
      stored.push_back({name, *size});
    }
  }
  return stored;
}

Status remove_segments(FileSystem& files,
                       const std::string& root,
                       const std::vector<SegmentName>& names) {
  Status result = ok();
  const auto note = [&](const FileStatus& done) {
    if (!done && result) {
      result = fail(done.error().error());
    }
  };
  std::set<std::string> folders;
  for (const SegmentName& name : names) {
    note(remove_if_there(files, root + "/" + name.path()));
    folders.insert(root + "/" + name.folder());
  }
  for (const std::string& folder : folders) {
    const auto left = list_if_there(files, folder);
    if (left && left->empty()) {
      note(remove_if_there(files, folder));
    }
  }
  return result;
}

}  // namespace stillpoint::archive
