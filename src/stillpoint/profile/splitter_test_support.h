// Streams for the splitter's tests, and a second splitter to compare with: it
// sees the whole stream at once, computes checksums bit by bit and reads
// sentences from their end.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/profile/splitter.h"

namespace stillpoint::profile::test {

using Bytes = std::vector<std::uint8_t>;

// "D3 00 13"; blanks are skipped.
Bytes from_hex(std::string_view hex);
Bytes from_text(std::string_view text);
Bytes joined(const std::vector<Bytes>& parts);
// Bytes of a fixed sequence for a seed.
Bytes garbage(std::size_t count, std::uint32_t seed);

// The worked frame of message 1005 in RTCM 10403.x (tests/vectors/crc.vec).
Bytes rtcm_1005();
Bytes rtcm_frame(const Bytes& payload);
// '$', the body, its checksum and CR LF.
Bytes sentence(std::string_view body);
// The sync, zeros up to the length, the length, zeros up to where the checksum
// begins to count, the payload, the checksum.
Bytes packet(const MakerFraming& framing, const Bytes& payload);

// One framing of each checksum rule, all orders and sizes of lengths among
// them; and those of them that do not lose to frames inside.
std::vector<MakerFraming> every_rule();
std::vector<MakerFraming> strong_rules();

struct Seen {
  FrameKind kind = FrameKind::kRtcm;
  Bytes bytes;
  std::uint64_t offset = 0;
  std::size_t framing = 0;
  friend bool operator==(const Seen&, const Seen&) = default;
};

// What came out, printable and comparable.
struct Outcome {
  std::vector<Seen> frames;
  SplitCounts counts;
  // One line a frame, one for the counts.
  [[nodiscard]] std::string text() const;
  friend bool operator==(const Outcome& a, const Outcome& b) {
    return a.frames == b.frames && a.text() == b.text();
  }
};

class Recorder final : public FrameSink {
 public:
  void on_frame(const StreamFrame& frame) override;
  std::vector<Seen> frames;
};

// The splitter's answer for a stream in one push; in pieces of a size; in
// pieces that end at the cuts (ascending).
Outcome split(const Bytes& stream, const std::vector<MakerFraming>& makers);
Outcome split_in_pieces(const Bytes& stream,
                        const std::vector<MakerFraming>& makers,
                        std::size_t size);
Outcome split_at(const Bytes& stream,
                 const std::vector<MakerFraming>& makers,
                 const std::vector<std::size_t>& cuts);
std::vector<std::size_t> random_cuts(std::size_t size,
                                     std::size_t longest_piece,
                                     std::uint32_t seed);

// The other splitter's answer.
Outcome reference(const Bytes& stream, const std::vector<MakerFraming>& makers);

}  // namespace stillpoint::profile::test
