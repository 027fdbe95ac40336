#include "stillpoint/ntrip/chunked.h"

#include <gtest/gtest.h>

#include <string>
#include <string_view>

namespace stillpoint::ntrip {
namespace {

ByteSpan bytes_of(std::string_view text) {
  return {reinterpret_cast<const std::uint8_t*>(text.data()), text.size()};
}

struct Outcome {
  std::string body, behind, error;
  bool done = false;
  bool operator==(const Outcome&) const = default;
};

// Feeds `text` in two pieces, or in pieces of `size`.
Outcome decode(std::string_view text, std::size_t first, std::size_t size) {
  ChunkedDecoder decoder;
  Outcome outcome;
  while (!text.empty()) {
    ByteSpan piece = bytes_of(text.substr(0, first));
    text.remove_prefix(piece.size());
    first = size;
    for (;;) {
      const auto part = decoder.next(piece);
      if (!part) {
        EXPECT_EQ(part.error().code, ErrorCode::kBadFormat);
        outcome.error = part.error().text();
        return outcome;
      }
      if (part->empty()) {
        break;
      }
      outcome.body.append(part->begin(), part->end());
    }
    outcome.behind.append(piece.begin(), piece.end());
  }
  outcome.done = decoder.done();
  return outcome;
}

Outcome decode(std::string_view text) {
  return decode(text, text.size(), text.size());
}

constexpr std::string_view kRegular =
    "5\r\nhello\r\nB\r\n there, all.\r\n00\r\nX-Sum: 7\r\n\r\nnext";

// kind: published   source: RFC 9112, section 7.1   tolerance: none, bytes
TEST(Chunked, SizesInHexTrailersAndWhatFollows) {
  const Outcome o =
      decode("5\r\nhello\r\nB\r\n there, all\r\n0\r\nA: b\r\n\r\nX");
  EXPECT_EQ(o.body, "hello there, all");
  EXPECT_TRUE(o.done);
  EXPECT_EQ(o.behind, "X");
}

TEST(Chunked, ExtensionsBlanksAndBareLineFeeds) {
  const Outcome o =
      decode("05 ;name=\"a b\"\nhello\n \ta\t\r\n0123456789\r\n0;last\n\n");
  EXPECT_EQ(o.body, "hello0123456789");
  EXPECT_TRUE(o.done);
}

TEST(Chunked, PiecesAreOfTheInputNotCopies) {
  const std::string text = "4\r\ndata\r\n";
  ByteSpan bytes = bytes_of(text);
  ChunkedDecoder decoder;
  const auto piece = decoder.next(bytes);
  ASSERT_TRUE(piece.has_value());
  EXPECT_EQ(piece->data(), bytes_of(text).data() + 3);
  EXPECT_EQ(piece->size(), 4U);
}

TEST(Chunked, AnySplitGivesTheSame) {
  for (const std::string_view text : {kRegular,
                                      std::string_view("3\r\nabcX\r\n"),
                                      std::string_view("2;x=y\nab\n0\n\n"),
                                      std::string_view("1\rq")}) {
    const Outcome whole = decode(text);
    for (std::size_t cut = 1; cut < text.size(); ++cut) {
      EXPECT_EQ(decode(text, cut, text.size()), whole) << cut;
      EXPECT_EQ(decode(text, cut, 1), whole) << cut;
    }
  }
}

TEST(Chunked, NotDoneUntilTheLastLine) {
  EXPECT_FALSE(decode("5\r\nhello\r\n0\r\n").done);
  EXPECT_FALSE(decode("5\r\nhello\r\n0\r\nA: b\r\n").done);
  EXPECT_FALSE(decode("5\r\nhel").done);
  EXPECT_EQ(decode("5\r\nhel").body, "hel");
}

TEST(Chunked, DamageIsSaidWithTheChunk) {
  EXPECT_EQ(decode("2\r\nab\r\nxyz\r\n").error, "chunk 2: size line holds 'x'");
  EXPECT_EQ(decode("2\r\nabc").error,
            "chunk 1: ends with 'c' where a line end should be");
  EXPECT_EQ(decode("2\r\nab\rc").error,
            "chunk 1: ends with 'c' where a line end should be");
  EXPECT_EQ(decode("\r\n").error, "chunk 1: size line without a size");
  EXPECT_EQ(decode(";x\r\n").error, "chunk 1: size line holds ';'");
  EXPECT_EQ(decode("1 2\r\n").error, "chunk 1: size line holds '2'");
  EXPECT_EQ(decode("1\r2").error, "chunk 1: size line holds '2'");
  EXPECT_EQ(decode("\xD3").error, "chunk 1: size line holds byte D3");
}

TEST(Chunked, BoundsHold) {
  EXPECT_EQ(decode("80000001\r\n").error,
            "chunk 1: size is more than 2147483648 bytes");
  EXPECT_EQ(decode("80000000\r\nab").body, "ab");
  EXPECT_EQ(decode("fffffffffffffffffff").error,
            "chunk 1: size is more than 2147483648 bytes");
  // 4096 bytes with the line end, and one more.
  const std::string line =
      "1;" + std::string(ChunkedDecoder::kMaxLine - 3, 'x');
  EXPECT_EQ(decode(line + "\na").body, "a");
  EXPECT_EQ(decode(line + "x\na").error,
            "chunk 1: size line of more than 4096 bytes");
  EXPECT_EQ(decode("0\n" + std::string(70000, 't')).error,
            "chunk 1: more than 65536 bytes of lines behind it");
}

TEST(Chunked, StaysFailed) {
  ChunkedDecoder decoder;
  ByteSpan bad = bytes_of("x");
  EXPECT_FALSE(decoder.next(bad).has_value());
  ByteSpan good = bytes_of("1\r\na\r\n");
  EXPECT_FALSE(decoder.next(good).has_value());
  EXPECT_EQ(good.size(), 6U);
}

}  // namespace
}  // namespace stillpoint::ntrip
