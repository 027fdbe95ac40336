// What the splitter costs: no memory while it works, no copy of what lies
// whole in the caller's bytes, no waiting for bytes it does not need.
#include <gtest/gtest.h>

#include <cstdlib>
#include <new>

#include "stillpoint/profile/splitter_test_support.h"

namespace {

// Every allocation of this test program is counted here; it has one thread.
std::size_t g_allocations = 0;

void* counted(std::size_t size) noexcept {
  ++g_allocations;
  return std::malloc(size == 0 ? 1 : size);
}

void* counted_or_stop(std::size_t size) {
  void* memory = counted(size);
  if (memory == nullptr) {
    std::abort();
  }
  return memory;
}

}  // namespace

void* operator new(std::size_t size) {
  return counted_or_stop(size);
}
void* operator new[](std::size_t size) {
  return counted_or_stop(size);
}
void* operator new(std::size_t size, const std::nothrow_t&) noexcept {
  return counted(size);
}
void* operator new[](std::size_t size, const std::nothrow_t&) noexcept {
  return counted(size);
}
void operator delete(void* memory) noexcept {
  std::free(memory);
}
void operator delete[](void* memory) noexcept {
  std::free(memory);
}
void operator delete(void* memory, std::size_t) noexcept {
  std::free(memory);
}
void operator delete[](void* memory, std::size_t) noexcept {
  std::free(memory);
}
void operator delete(void* memory, const std::nothrow_t&) noexcept {
  std::free(memory);
}
void operator delete[](void* memory, const std::nothrow_t&) noexcept {
  std::free(memory);
}

namespace stillpoint::profile {
namespace {

using test::Bytes;
using test::joined;

// Looks at each frame where it lies.
class Watcher final : public FrameSink {
 public:
  void on_frame(const StreamFrame& frame) override {
    ++frames;
    last = frame;
  }
  std::size_t frames = 0;
  StreamFrame last;
};

Bytes second_of_a_station() {
  std::vector<Bytes> parts;
  for (std::uint32_t i = 0; i < 5; ++i) {
    parts.push_back(test::rtcm_frame(test::garbage(200 + 150 * i, i + 1)));
  }
  parts.push_back(test::sentence("GPGGA,123519,4807.038,N,01131.000,E,4,31"));
  for (const MakerFraming& framing : test::every_rule()) {
    parts.push_back(test::packet(framing, test::garbage(180, 77)));
    parts.push_back(Bytes(3, 0xD3));
  }
  return joined(parts);
}

TEST(SplitterMemory, PushAllocatesNothingHoweverLongTheStream) {
  const Bytes second = second_of_a_station();
  StreamSplitter splitter(test::every_rule());
  Watcher watcher;
  std::size_t size = 1;
  const std::size_t before = g_allocations;
  for (int i = 0; i < 1000; ++i) {
    for (ByteSpan rest = second; !rest.empty();) {
      const ByteSpan piece = rest.first(std::min(size, rest.size()));
      splitter.push(piece, watcher);
      rest = rest.subspan(piece.size());
      size = size * 7 % 4099;
    }
  }
  splitter.finish(watcher);
  EXPECT_EQ(g_allocations, before);
  // The counter counts: a second splitter takes its memory.
  const StreamSplitter other(test::every_rule());
  EXPECT_GT(g_allocations, before);
  EXPECT_EQ(other.counts().bytes, 0U);
  EXPECT_EQ(splitter.counts().bytes, 1000 * second.size());
  EXPECT_EQ(splitter.counts().frames[0], 5000U);
  EXPECT_EQ(splitter.counts().frames[1], 1000U);
  EXPECT_EQ(splitter.counts().frames[2], 6000U);
  EXPECT_EQ(watcher.frames, 12000U);
}

TEST(SplitterMemory, AFrameThatIsWholeIsNotCopied) {
  const Bytes frame = test::rtcm_1005();
  const Bytes stream = joined({frame, frame, frame});
  StreamSplitter splitter;
  Watcher watcher;
  splitter.push(ByteSpan(stream).first(30), watcher);
  EXPECT_EQ(watcher.last.bytes.data(), stream.data());
  // The second was cut; the third lies whole in the second piece.
  splitter.push(ByteSpan(stream).subspan(30), watcher);
  EXPECT_EQ(watcher.frames, 3U);
  EXPECT_EQ(watcher.last.bytes.data(), stream.data() + 50);
}

TEST(SplitterMemory, AFrameComesWithTheByteThatCompletesIt) {
  const Bytes stream = joined({test::rtcm_1005(),
                               test::sentence("GPZDA,1"),
                               test::garbage(3, 9),
                               test::rtcm_frame({})});
  const auto makers = test::every_rule();
  StreamSplitter splitter(makers);
  Watcher watcher;
  const auto push_all = [&](const Bytes& bytes) {
    std::size_t seen = watcher.frames;
    for (const std::uint8_t& byte : bytes) {
      splitter.push(ByteSpan(&byte, 1), watcher);
      if (watcher.frames != seen) {
        EXPECT_EQ(watcher.last.offset + watcher.last.bytes.size(),
                  splitter.counts().bytes);
        seen = watcher.frames;
      }
    }
  };
  push_all(stream);
  EXPECT_EQ(watcher.frames, 3U);
  for (const MakerFraming& framing : makers) {
    push_all(test::packet(framing, {1, 2, 3, 4}));
  }
  EXPECT_EQ(watcher.frames, 9U);
}

TEST(SplitterMemory, TheLongestPacketsPassInSmallPieces) {
  MakerFraming framing = test::every_rule().back();
  framing.longest = 65535;
  framing.length_bytes = 2;
  const Bytes longest = test::packet(framing, Bytes(65531, 0xD3));
  ASSERT_EQ(longest.size(), 65535U);
  const Bytes stream = joined({longest, longest, test::rtcm_1005(), longest});
  StreamSplitter splitter({framing});
  Watcher watcher;
  for (ByteSpan rest = stream; !rest.empty();) {
    const ByteSpan piece = rest.first(std::min<std::size_t>(100, rest.size()));
    splitter.push(piece, watcher);
    rest = rest.subspan(piece.size());
  }
  splitter.finish(watcher);
  EXPECT_EQ(splitter.counts().frames[0], 1U);
  EXPECT_EQ(splitter.counts().frames[2], 3U);
  EXPECT_EQ(splitter.counts().skipped_bytes, 0U);
}

}  // namespace
}  // namespace stillpoint::profile
