// Any bytes as a stream: the first byte chooses how it is cut into pieces, the
// rest is the stream, with a framing of each checksum rule. Oracle: the pieces
// give what the whole gives; frames and skipped bytes add up to all bytes;
// each frame is good when looked at alone.
#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <string>
#include <utility>
#include <vector>

#include "stillpoint/core/check.h"
#include "stillpoint/core/crc.h"
#include "stillpoint/profile/splitter.h"

namespace {

using namespace stillpoint;
using namespace stillpoint::profile;

MakerFraming framing(std::vector<std::uint8_t> sync, ChecksumRule rule) {
  MakerFraming made;
  made.name = "packet";
  made.sync = std::move(sync);
  made.checksum = rule;
  made.length_offset = made.sync.size();
  made.length_bytes = rule == ChecksumRule::kCrc32 ? 2 : 1;
  made.length_little_endian = rule != ChecksumRule::kCrc32;
  made.length_adds = 4;
  made.checksum_from = rule == ChecksumRule::kNone ? 0 : 1;
  made.longest = 300;
  return made;
}

const std::vector<MakerFraming>& makers() {
  static const std::vector<MakerFraming> made = {
      framing({0xE0}, ChecksumRule::kNone),
      framing({0x24}, ChecksumRule::kXor),
      framing({0xE2, 0xE2}, ChecksumRule::kFletcher8),
      framing({0xD3, 0x00}, ChecksumRule::kCrc16),
      framing({0xE4}, ChecksumRule::kCrc24q),
      framing({0xE5, 0xE5, 0xE6}, ChecksumRule::kCrc32)};
  return made;
}

struct Found {
  FrameKind kind;
  std::uint64_t offset;
  std::size_t size, framing;
  friend bool operator==(const Found&, const Found&) = default;
};

// Also looks whether each frame's bytes are those of the stream.
class Sink final : public FrameSink {
 public:
  explicit Sink(ByteSpan stream) : stream_(stream) {}
  void on_frame(const StreamFrame& frame) override {
    const ByteSpan there =
        stream_.subspan(static_cast<std::size_t>(frame.offset));
    STILLPOINT_CHECK(frame.bytes.size() <= there.size());
    STILLPOINT_CHECK(
        std::equal(frame.bytes.begin(), frame.bytes.end(), there.begin()));
    found.push_back(
        {frame.kind, frame.offset, frame.bytes.size(), frame.framing});
  }
  std::vector<Found> found;

 private:
  ByteSpan stream_;
};

void check_same(const SplitCounts& a, const SplitCounts& b) {
  STILLPOINT_CHECK(a.bytes == b.bytes && a.frames == b.frames &&
                   a.bad_checksum == b.bad_checksum &&
                   a.skipped_bytes == b.skipped_bytes);
}

void check_alone(const Found& frame, ByteSpan stream) {
  const ByteSpan bytes =
      stream.subspan(static_cast<std::size_t>(frame.offset), frame.size);
  if (frame.kind == FrameKind::kRtcm) {
    STILLPOINT_CHECK(bytes.size() >= 6 && crc24q(bytes) == 0);
    return;
  }
  StreamSplitter splitter(makers());
  Sink sink(bytes);
  splitter.push(bytes, sink);
  splitter.finish(sink);
  STILLPOINT_CHECK(sink.found.size() == 1 && sink.found[0].size == frame.size &&
                   sink.found[0].framing == frame.framing);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size) {
  constexpr std::size_t kMaxSize = std::size_t{16} * 1024;  // bounded time
  if (size < 1 || size > kMaxSize) {
    return 0;
  }
  const ByteSpan stream(data + 1, size - 1);
  StreamSplitter whole(makers());
  Sink at_once(stream);
  whole.push(stream, at_once);
  whole.finish(at_once);

  StreamSplitter cut(makers());
  Sink in_pieces(stream);
  std::size_t step = data[0] % 97U + 1;
  for (ByteSpan rest = stream; !rest.empty();) {
    const std::size_t count = std::min(step, rest.size());
    // Memory of its own, so that a look beyond it is found.
    const std::vector<std::uint8_t> piece(rest.data(), rest.data() + count);
    cut.push(piece, in_pieces);
    rest = rest.subspan(count);
    step = data[0] < 128 ? step : step * 31 % 211 + 1;
  }
  cut.finish(in_pieces);

  STILLPOINT_CHECK(at_once.found == in_pieces.found);
  check_same(whole.counts(), cut.counts());
  std::uint64_t accounted = whole.counts().skipped_bytes;
  for (const Found& frame : at_once.found) {
    accounted += frame.size;
    check_alone(frame, stream);
  }
  STILLPOINT_CHECK(accounted == stream.size());
  return 0;
}
