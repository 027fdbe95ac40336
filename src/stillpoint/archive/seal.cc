#include "stillpoint/archive/seal.h"

#include <utility>

#include "stillpoint/archive/file_steps.h"
#include "stillpoint/archive/segment_scan.h"
#include "stillpoint/archive/segment_writer.h"

namespace stillpoint::archive {
namespace {

class Copy final : public ScanSink {
 public:
  Copy(const Opening& opening, int level) : writer(opening, level) {}

  bool on_bytes(std::uint64_t offset,
                std::span<const Received> received) override {
    if (!received.empty()) {
      hole(offset, received.front().time);
      writer.bytes(received);
      keep();
    }
    return true;
  }
  bool on_gap(const Gap& gap) override {
    hole(gap.from, gap.last_before);
    writer.gap(gap);
    return true;
  }
  void on_damage() override {}

  void keep() {
    const auto more = writer.take();
    plain.insert(plain.end(), more.begin(), more.end());
  }

  SegmentWriter writer;
  std::vector<std::uint8_t> plain;
  std::vector<Gap> gaps;

 private:
  void hole(std::uint64_t offset, GnssTime time) {
    if (offset > writer.end_offset()) {
      gaps.push_back({writer.end_offset(),
                      offset,
                      writer.last_time(),
                      time,
                      GapReason::kDamaged});
      writer.gap(gaps.back());
    }
  }
};

}  // namespace

FileResult<Sealed> seal_segment(FileSystem& files,
                                const std::string& root,
                                const SegmentName& name,
                                int level) {
  const std::string path = root + "/" + name.path();
  const auto blocks = open_blocks(files, path);
  if (!blocks) {
    return tl::unexpected<FileError>(blocks.error());
  }
  const SegmentFacts facts = read_facts(**blocks);
  Sealed sealed;
  const auto remove_it = [&]() -> FileResult<Sealed> {
    sealed.empty = true;
    auto done = remove_if_there(files, path);
    if (!done) {
      return tl::unexpected<FileError>(done.error());
    }
    return sealed;
  };
  Opening opening;
  if (facts.opening) {
    opening = *facts.opening;
  } else if (facts.start) {
    opening.stream = facts.start->stream;
    opening.offset = facts.start->offset;
    opening.time = facts.start->time;
    opening.previous.end = PreviousEnd::kMissing;
  }
  Copy copy(opening, level);
  const ScanEnd end = scan_segment(**blocks, 0, opening.stream, copy);
  sealed.unreadable = end.unreadable;
  sealed.stream = opening.stream;
  sealed.first_offset = opening.offset;
  sealed.end_offset = copy.writer.end_offset();
  sealed.last_time = copy.writer.last_time();
  sealed.gaps = std::move(copy.gaps);
  if (sealed.unreadable) {
    return sealed;
  }
  if (sealed.end_offset == sealed.first_offset) {
    return remove_it();
  }
  sealed.digest = copy.writer.close({}, {}, true);
  copy.keep();
  auto done = replace_file(files, path, copy.plain);
  if (!done) {
    return tl::unexpected<FileError>(done.error());
  }
  return sealed;
}

}  // namespace stillpoint::archive
