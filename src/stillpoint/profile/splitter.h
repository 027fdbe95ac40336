// RTCM 3 frames, NMEA 0183 sentences and a maker's packets out of one stream
// of bytes. What it says depends on the bytes alone, never on how they were
// cut into pieces.
#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "stillpoint/core/bytes.h"
#include "stillpoint/profile/framing.h"

namespace stillpoint::profile {

struct Verdict;  // candidate.h

enum class FrameKind : std::uint8_t { kRtcm = 0, kNmea = 1, kMaker = 2 };

// One frame, sentence or packet whose checksum is good, whole: RTCM from D3 to
// its CRC, NMEA from '$' or '!' to its line end, a packet from sync to
// checksum. The bytes are valid during the call only.
struct StreamFrame {
  FrameKind kind = FrameKind::kRtcm;
  ByteSpan bytes;
  std::uint64_t offset = 0;  // of the first byte, from the start of the stream
  std::size_t framing = 0;   // kMaker: which of the framings
};

class FrameSink {
 public:
  virtual ~FrameSink() = default;
  virtual void on_frame(const StreamFrame& frame) = 0;
};

struct SplitCounts {
  std::uint64_t bytes = 0;
  std::array<std::uint64_t, 3> frames{};  // by FrameKind
  // Candidates outside good frames whose checksum was computed and failed.
  std::uint64_t bad_checksum = 0;
  // Bytes in no good frame, sentence or packet.
  std::uint64_t skipped_bytes = 0;
};

class StreamSplitter {
 public:
  // The framings must hold together (find_mistake); those of parse_framings
  // do. Takes the only memory it will ever have: twice the bytes after which
  // the longest candidate is decided.
  explicit StreamSplitter(std::vector<MakerFraming> makers = {});

  // Takes bytes as they come; calls the sink for each frame that they
  // complete, in stream order. Allocates nothing.
  void push(ByteSpan bytes, FrameSink& sink);
  // The stream ended: frames inside an unfinished candidate still come out;
  // the rest counts as skipped. A push after it begins afresh, with offsets
  // and counts that go on.
  void finish(FrameSink& sink);

  // Bytes that are still held (an unfinished candidate) are in none but
  // `bytes`.
  [[nodiscard]] const SplitCounts& counts() const { return counts_; }

 private:
  // Where the look at the byte position_ stands.
  struct Progress {
    std::size_t kind = 0;      // RTCM, NMEA, then each framing
    std::size_t resume = 0;    // of the candidate of this kind, its own use
    std::uint64_t failed = 0;  // checksums at this byte
  };

  std::size_t scan(ByteSpan bytes,
                   std::size_t stop,
                   bool ended,
                   FrameSink& sink);
  Verdict look(ByteSpan at, bool ended);
  [[nodiscard]] Verdict look_at_kind(ByteSpan at, bool ended);
  void hand_out(ByteSpan bytes, FrameSink& sink);
  [[nodiscard]] ByteSpan held() const;
  void hold(ByteSpan bytes);

  std::vector<MakerFraming> makers_;
  std::array<bool, 256> starts_{};  // bytes that may begin a candidate
  SplitCounts counts_;
  std::uint64_t position_ = 0;  // of the first byte that is not decided
  Progress progress_;
  std::size_t needed_ = 1;  // bytes from position_ on for another look
  // Bytes from position_ on that came with an earlier push: [begin_, end_).
  std::vector<std::uint8_t> memory_;
  std::size_t begin_ = 0, end_ = 0;
};

}  // namespace stillpoint::profile
