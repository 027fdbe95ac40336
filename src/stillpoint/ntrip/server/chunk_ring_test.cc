#include "stillpoint/ntrip/server/chunk_ring.h"

#include <gtest/gtest.h>

namespace stillpoint::ntrip {
namespace {

using std::chrono::seconds;

ByteSpan bytes_of(std::string_view text) {
  return {reinterpret_cast<const std::uint8_t*>(text.data()), text.size()};
}

// kind: published   source: RFC 9112, section 7.1: size in hexadecimal, CRLF,
// the bytes, CRLF
TEST(ChunkRing, OneBufferHoldsBothForms) {
  ChunkRing ring(4096);
  ring.push(bytes_of(std::string(700, 'a')), seconds{1});
  ring.push(bytes_of("b"), seconds{2});
  std::vector<ChunkPointer> chunks;
  const StreamEnd end = ring.fetch(0, chunks);
  ASSERT_EQ(chunks.size(), 2U);
  EXPECT_EQ(chunks[0]->form(true), "2bc\r\n" + std::string(700, 'a') + "\r\n");
  EXPECT_EQ(chunks[0]->form(false), std::string(700, 'a'));
  EXPECT_EQ(chunks[0]->form(false).data(), chunks[0]->text.data() + 5);
  EXPECT_EQ(chunks[1]->form(true), "1\r\nb\r\n");
  EXPECT_EQ(chunks[1]->sequence, 1U);
  EXPECT_EQ(chunks[1]->offset, 700U);
  EXPECT_EQ(chunks[1]->published, seconds{2});
  EXPECT_EQ(end.sequence, 2U);
  EXPECT_EQ(end.offset, 701U);
}

TEST(ChunkRing, OtherBytesToKeepCountFromTheNextChunkOn) {
  constexpr std::size_t kEach = ChunkRing::kOverhead + 100;
  ChunkRing ring(10 * kEach);
  const auto kept_after = [&ring](int pushes) {
    for (int i = 0; i < pushes; ++i) {
      ring.push(bytes_of(std::string(94, 'x')), seconds{i});
    }
    std::vector<ChunkPointer> chunks;
    ring.fetch(0, chunks);
    return chunks.size();
  };
  EXPECT_EQ(kept_after(100), 10U);
  ring.keep(4 * kEach);
  EXPECT_EQ(kept_after(0), 10U);
  EXPECT_EQ(kept_after(1), 4U);
  ring.keep(20 * kEach);
  EXPECT_EQ(kept_after(100), 20U);
}

TEST(ChunkRing, KeepsTheNewestWithinItsBytes) {
  ChunkRing ring(10 * (ChunkRing::kOverhead + 100));
  EXPECT_FALSE(ring.has(0));
  for (int i = 0; i < 1000; ++i) {
    ring.push(bytes_of(std::string(94, 'x')), seconds{i});  // 100 with framing
  }
  EXPECT_TRUE(ring.has(999));
  EXPECT_FALSE(ring.has(1000));
  std::vector<ChunkPointer> chunks;
  ring.fetch(0, chunks);
  ASSERT_EQ(chunks.size(), 10U);
  EXPECT_EQ(chunks.front()->sequence, 990U);
  EXPECT_EQ(chunks.front()->offset, 990U * 94U);
  chunks.clear();
  ring.fetch(998, chunks);
  EXPECT_EQ(chunks.size(), 2U);
  chunks.clear();
  ring.fetch(5000, chunks);
  EXPECT_TRUE(chunks.empty());
}

TEST(ChunkRing, NothingIsNoChunkAndTheLastOneStaysHoweverLarge) {
  ChunkRing ring(100);
  ring.push({}, seconds{0});
  EXPECT_EQ(ring.end().sequence, 0U);  // "0" would end a chunked stream
  ring.push(bytes_of(std::string(5000, 'x')), seconds{0});
  std::vector<ChunkPointer> chunks;
  ring.fetch(0, chunks);
  EXPECT_EQ(chunks.size(), 1U);
}

}  // namespace
}  // namespace stillpoint::ntrip
