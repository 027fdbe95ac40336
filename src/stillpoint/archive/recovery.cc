#include "stillpoint/archive/recovery.h"

#include <algorithm>
#include <set>
#include <utility>

#include "stillpoint/archive/file_steps.h"
#include "stillpoint/archive/latest_note.h"
#include "stillpoint/archive/seal.h"
#include "stillpoint/archive/segment_scan.h"

namespace stillpoint::archive {
namespace {

struct Found {
  SegmentName name;
  std::uint64_t stream = 0, first = 0, end = 0;
  GnssTime last_time;
  Digest digest{};
  bool clean = false;
  bool unreadable = false;
  bool looked_through = false;  // by this start, not by an earlier one
  std::vector<Gap> gaps;
};

FileResult<std::optional<Found>> seal_one(FileSystem& files,
                                          const std::string& root,
                                          Found found,
                                          int level) {
  auto sealed = seal_segment(files, root, found.name, level);
  if (!sealed) {
    return tl::unexpected<FileError>(sealed.error());
  }
  if (sealed->empty) {
    return std::nullopt;
  }
  found.stream = sealed->stream;
  found.first = sealed->first_offset;
  found.end = sealed->end_offset;
  found.last_time = sealed->last_time;
  found.digest = sealed->digest;
  found.gaps = std::move(sealed->gaps);
  found.unreadable = sealed->unreadable;
  found.looked_through = true;
  return found;
}

FileResult<std::optional<Found>> examine(FileSystem& files,
                                         const std::string& root,
                                         const SegmentName& name,
                                         int level) {
  const auto blocks = open_blocks(files, root + "/" + name.path());
  if (!blocks) {
    return tl::unexpected<FileError>(blocks.error());
  }
  const SegmentFacts facts = read_facts(**blocks);
  Found found;
  found.name = name;
  if (facts.closing) {
    const Closing& closing = *facts.closing;
    found.stream = closing.stream;
    found.first = closing.first_offset;
    found.end = closing.end_offset;
    found.last_time = closing.last_time;
    found.digest = closing.digest;
    found.clean = !closing.sealed_later;
    if (closing.sealed_later) {
      found.gaps = closing.gaps;
    }
    return found;
  }
  return seal_one(files, root, std::move(found), level);
}

FileStatus remove_parts(FileSystem& files, const std::string& folder) {
  const auto entries = list_if_there(files, folder);
  if (!entries) {
    return tl::unexpected<FileError>(entries.error());
  }
  for (const DirectoryEntry& entry : *entries) {
    if (!entry.directory && entry.name.ends_with(".part")) {
      auto done = remove_if_there(files, folder + "/" + entry.name);
      if (!done) {
        return done;
      }
    }
  }
  return std::monostate{};
}

// Folders in which the end of the stream can be.
FileResult<std::vector<std::string>> folders_to_see(
    FileSystem& files,
    const std::string& root,
    const std::optional<LatestNote>& note,
    GnssTime now) {
  auto all = day_folders(files, root, kFirstHour, kLastHour);
  if (!all || all->empty() || !note) {
    return all;
  }
  const auto names = segments_in(files, root, note->name.folder());
  if (!names) {
    return tl::unexpected<FileError>(names.error());
  }
  const bool there =
      std::any_of(names->begin(), names->end(), [&](const SegmentName& n) {
        return n == note->name;
      });
  if (!there) {
    return all;
  }
  const SegmentName today{utc_hour(now), 0};
  std::set<std::string> few{note->name.folder(), all->back()};
  if (std::find(all->begin(), all->end(), today.folder()) != all->end()) {
    few.insert(today.folder());
  }
  return std::vector<std::string>(few.begin(), few.end());
}

bool held_elsewhere(const Gap& gap,
                    const Found& owner,
                    const std::vector<Found>& all) {
  return std::any_of(all.begin(), all.end(), [&](const Found& other) {
    return &other != &owner && other.stream == owner.stream &&
           other.first <= gap.from && other.end >= gap.to &&
           std::none_of(
               other.gaps.begin(), other.gaps.end(), [&](const Gap& hole) {
                 return hole.from < gap.to && hole.to > gap.from;
               });
  });
}

Recovered conclude(const std::vector<Found>& all,
                   const std::optional<LatestNote>& note,
                   GnssTime now) {
  Recovered result;
  const auto newest = std::max_element(
      all.begin(), all.end(), [&](const Found& a, const Found& b) {
        // A stream that the note names comes before any other.
        const bool a_named = note && a.stream == note->stream;
        const bool b_named = note && b.stream == note->stream;
        return std::pair(a_named, a.end) < std::pair(b_named, b.end);
      });
  if (newest != all.end()) {
    result.found = true;
    result.stream = newest->stream;
    result.end_offset = newest->end;
    result.previous = {
        newest->clean ? PreviousEnd::kClosed : PreviousEnd::kUnclean,
        newest->name.path(),
        newest->first,
        newest->last_time,
        newest->digest};
    for (const Found& found : all) {
      // What an earlier start found was said when it began a segment.
      const bool said = !found.looked_through && found.first < newest->first;
      for (const Gap& gap : found.gaps) {
        if (!said && !held_elsewhere(gap, found, all)) {
          result.lost.push_back(gap);
        }
      }
    }
    if (!newest->clean) {
      result.lost.push_back({newest->end,
                             newest->end,
                             newest->last_time,
                             now,
                             GapReason::kInterrupted});
    }
  }
  if (note && result.end_offset < note->first_offset) {
    const GnssTime last = result.found ? result.previous.last_time : now;
    result.lost.push_back({result.end_offset,
                           note->first_offset,
                           std::min(last, now),
                           now,
                           GapReason::kMissing});
    result.found = true;
    result.stream = note->stream;
    result.previous = {
        PreviousEnd::kMissing, note->name.path(), note->first_offset, last, {}};
    result.end_offset = note->first_offset;
  }
  // One that another follows cannot hold more than up to that.
  const bool unreadable =
      std::any_of(all.begin(), all.end(), [&](const Found& found) {
        return found.unreadable && found.first >= newest->first;
      });
  if (unreadable) {
    result.lost.push_back({result.end_offset,
                           result.end_offset + kUnreadableSkip,
                           std::min(result.previous.last_time, now),
                           now,
                           GapReason::kDamaged});
    result.end_offset += kUnreadableSkip;
  }
  return result;
}

}  // namespace

FileResult<Recovered> recover(FileSystem& files,
                              const std::string& root,
                              GnssTime now,
                              int level) {
  const auto note = read_latest(files, root);
  if (!note) {
    return tl::unexpected<FileError>(note.error());
  }
  const auto folders = folders_to_see(files, root, *note, now);
  if (!folders) {
    return tl::unexpected<FileError>(folders.error());
  }
  std::vector<Found> all;
  for (const std::string& folder : *folders) {
    std::string path = root;
    path.append("/").append(folder);
    const auto cleared = remove_parts(files, path);
    if (!cleared) {
      return tl::unexpected<FileError>(cleared.error());
    }
    const auto names = segments_in(files, root, folder);
    if (!names) {
      return tl::unexpected<FileError>(names.error());
    }
    for (const SegmentName& name : *names) {
      auto found = examine(files, root, name, level);
      if (!found) {
        return tl::unexpected<FileError>(found.error());
      }
      if (*found) {
        all.push_back(std::move(**found));
      }
    }
  }
  return conclude(all, *note, now);
}

}  // namespace stillpoint::archive
