// Reads one segment: its pieces in order to a sink, and what of the file is not
// good. Nothing is held in memory but a block.
#pragma once

#include <cstdint>
#include <optional>
#include <span>

#include "stillpoint/archive/block_source.h"
#include "stillpoint/archive/segment_notes.h"

namespace stillpoint::archive {

class ScanSink {
 public:
  ScanSink() = default;
  ScanSink(const ScanSink&) = delete;
  ScanSink& operator=(const ScanSink&) = delete;
  ScanSink(ScanSink&&) = delete;
  ScanSink& operator=(ScanSink&&) = delete;
  virtual ~ScanSink() = default;

  // Each says whether to go on. Offsets rise from call to call; what lies
  // between them was not found.
  virtual bool on_bytes(std::uint64_t offset,
                        std::span<const Received> received) = 0;
  virtual bool on_gap(const Gap& gap) = 0;
  // Something before what comes next could not be read.
  virtual void on_damage() = 0;
};

struct ScanEnd {
  bool closed = false;      // its closing was reached and ends the file
  bool damaged = false;     // a block or the digest
  bool unreadable = false;  // the device did not give a block
  bool torn = false;        // no closing: the file just ends
  bool stopped = false;     // by the sink
};

// From a block on to the end. Without `closed` it is not known whether what is
// bad at the very end was ever whole: that is torn, not damaged.
ScanEnd scan_segment(BlockSource& blocks,
                     std::size_t first_block,
                     std::uint64_t stream,
                     ScanSink& sink);

// What a segment is, from its first and last blocks.
struct SegmentFacts {
  std::optional<Opening> opening;
  std::optional<Closing> closing;
  // Of the opening, else of the first good piece; nothing where none is good.
  struct Start {
    std::uint64_t stream = 0, offset = 0;
    GnssTime time;
  };
  std::optional<Start> start;
};
SegmentFacts read_facts(BlockSource& blocks);

// The last block whose first byte was received before `t`, or 0; for a segment
// whose times do not go back.
std::size_t find_block(BlockSource& blocks, std::uint64_t stream, GnssTime t);

}  // namespace stillpoint::archive
