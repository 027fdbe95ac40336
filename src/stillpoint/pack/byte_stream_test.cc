#include "stillpoint/pack/byte_stream.h"

#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>

#include "stillpoint/pack/pack_test_support.h"

namespace stillpoint {
namespace {

using test::drain;
using test::Drained;
using test::Filter;
using test::packed;
using test::sample_text;
using test::zipped;

constexpr Filter kFilters[] = {Filter::kGzip,
                               Filter::kCompress,
                               Filter::kBzip2,
                               Filter::kZstd,
                               Filter::kXz};

Drained unpacked(const std::string& bytes, std::size_t step = 4096) {
  return drain(*unpack_memory(bytes, "sample"), step);
}

// Every kind of check in this file is "cross": what another library packed
// comes out byte for byte.
TEST(Unpack, EveryPackingGivesBackTheSameBytes) {
  const std::string text = sample_text(300'000);
  for (const Filter filter : kFilters) {
    const Drained out = unpacked(packed(text, filter));
    EXPECT_FALSE(out.failed) << out.error.text();
    EXPECT_TRUE(out.bytes == text) << static_cast<int>(filter);
  }
  const Drained out = unpacked(zipped({{"folder/", ""}, {"a.txt", text}}));
  EXPECT_FALSE(out.failed) << out.error.text();
  EXPECT_TRUE(out.bytes == text);
}

TEST(Unpack, ReadsOfAnySizeGiveTheSameBytes) {
  const std::string text = sample_text(20'000);
  for (const std::size_t step : {1U, 7U, 65'536U}) {
    for (const Filter filter : kFilters) {
      EXPECT_TRUE(unpacked(packed(text, filter), step).bytes == text);
    }
    EXPECT_TRUE(unpacked(zipped({{"a", text}}), step).bytes == text);
    EXPECT_TRUE(unpacked(text, step).bytes == text);
  }
}

TEST(Unpack, EmptyContentIsAnEmptyStream) {
  using namespace std::string_literals;
  for (const std::string& bytes : {packed("", Filter::kGzip),
                                   packed("", Filter::kBzip2),
                                   packed("", Filter::kZstd),
                                   packed("", Filter::kXz),
                                   "\x1f\x9d\x90"s}) {
    const Drained out = unpacked(bytes);
    EXPECT_FALSE(out.failed) << out.error.text();
    EXPECT_EQ(out.bytes, "");
  }
  EXPECT_FALSE(unpacked("").failed);
  EXPECT_FALSE(unpacked(zipped({{"a", ""}})).failed);
}

TEST(Unpack, PlainBytesPassHoweverOddTheirStart) {
  using namespace std::string_literals;
  for (const std::string& text : {"B"s,
                                  "BZh"s,
                                  "BZh9 is a text\n"s,
                                  "PK is a text\n"s,
                                  "\0\0\0\0"s,
                                  "\x28\xb5 text"s,
                                  "#!ustar\n"s,
                                  "!<arch>\nfile/    0   \n"s,
                                  "\n\n\n"s,
                                  "     2.11           OBSERVATION DATA\n"s}) {
    const Drained out = unpacked(text);
    EXPECT_FALSE(out.failed);
    EXPECT_EQ(out.bytes, text);
  }
}

TEST(Unpack, SeveralGzipMembersAreOneStream) {
  const std::string one = packed("first\n", Filter::kGzip);
  const std::string two = packed("second\n", Filter::kGzip);
  EXPECT_EQ(unpacked(one + two).bytes, "first\nsecond\n");
  EXPECT_EQ(unpacked(one + two, 1).bytes, "first\nsecond\n");
  const Drained padded = unpacked(one + two + std::string(512, '\0'));
  EXPECT_FALSE(padded.failed);
  EXPECT_EQ(padded.bytes, "first\nsecond\n");
}

TEST(Unpack, GzipCutAnywhereIsTruncatedAndNothingIsInvented) {
  const std::string text = sample_text(3000);
  const std::string whole = packed(text, Filter::kGzip);
  for (std::size_t cut = 1; cut < whole.size(); ++cut) {
    const Drained out = unpacked(whole.substr(0, cut));
    ASSERT_TRUE(out.failed) << cut;
    EXPECT_EQ(out.error.code, ErrorCode::kTruncated) << cut;
    EXPECT_EQ(out.error.where, "sample");
    EXPECT_TRUE(text.starts_with(out.bytes)) << cut;
  }
  // A second member cut inside.
  const std::string two = whole + whole;
  for (std::size_t cut = whole.size() + 1; cut < two.size(); ++cut) {
    EXPECT_TRUE(unpacked(two.substr(0, cut)).failed) << cut;
  }
}

TEST(Unpack, OtherPackingsCutAnywhereNeverInvent) {
  const std::string text = sample_text(1000);
  for (const Filter filter : {Filter::kBzip2, Filter::kZstd, Filter::kXz}) {
    const std::string whole = packed(text, filter);
    for (std::size_t cut = 10; cut < whole.size(); ++cut) {
      const Drained out = unpacked(whole.substr(0, cut));
      EXPECT_TRUE(out.failed || out.bytes == text)
          << static_cast<int>(filter) << " " << cut;
      EXPECT_TRUE(text.starts_with(out.bytes)) << cut;
    }
  }
  // .Z has no end mark and no checksum: a cut shows only as missing data.
  const std::string whole = packed(text, Filter::kCompress);
  for (std::size_t cut = 3; cut < whole.size(); ++cut) {
    EXPECT_TRUE(text.starts_with(unpacked(whole.substr(0, cut)).bytes)) << cut;
  }
}

TEST(Unpack, GzipWithAFlippedByteIsNeverAccepted) {
  const std::string text = sample_text(3000);
  const std::string whole = packed(text, Filter::kGzip);
  // The 10 bytes of the head hold time, system and flags without a checksum.
  for (std::size_t at = 10; at < whole.size(); ++at) {
    std::string bad = whole;
    bad[at] = static_cast<char>(bad[at] ^ 0x10);
    EXPECT_TRUE(unpacked(bad).failed) << at;
  }
}

TEST(Unpack, SomethingBehindGzipDataIsDamage) {
  const Drained out = unpacked(packed("text\n", Filter::kGzip) + "tail");
  EXPECT_TRUE(out.failed);
  EXPECT_EQ(out.error.code, ErrorCode::kBadFormat);
  EXPECT_EQ(out.bytes, "text\n");
}

TEST(Unpack, ZipOfTwoFilesOrNoneIsRefusedWithTheirNumber) {
  const Drained two = unpacked(zipped({{"a", "1"}, {"b", "2"}}));
  EXPECT_TRUE(two.failed);
  EXPECT_EQ(two.error.code, ErrorCode::kBadFormat);
  EXPECT_NE(two.error.what.find("2 files"), std::string::npos);
  EXPECT_EQ(two.bytes, "");
  const Drained none = unpacked(zipped({{"folder/", ""}}));
  EXPECT_TRUE(none.failed);
  EXPECT_NE(none.error.what.find("0 files"), std::string::npos);
}

TEST(Unpack, DamagedOrCutZipIsAnErrorUnlessItsDataAreWhole) {
  const std::string text = sample_text(3000);
  const std::string whole = zipped({{"a", text}});
  for (std::size_t cut = 4; cut < whole.size(); ++cut) {
    const Drained out = unpacked(whole.substr(0, cut));
    EXPECT_TRUE(out.failed || out.bytes == text) << cut;
  }
  std::string bad = whole;
  bad[whole.size() / 3] = static_cast<char>(bad[whole.size() / 3] ^ 0x10);
  EXPECT_TRUE(unpacked(bad).failed);
}

TEST(OpenUnpacked, SaysPathAndSystemWordsForWhatCannotBeOpened) {
  const auto missing = open_unpacked("no/such/file.24o");
  ASSERT_FALSE(missing);
  EXPECT_EQ(missing.error().code, ErrorCode::kIo);
  EXPECT_EQ(missing.error().text(),
            "no/such/file.24o: cannot open: No such file or directory");
  const auto folder =
      open_unpacked(std::filesystem::temp_directory_path().string());
  ASSERT_FALSE(folder);
  EXPECT_EQ(folder.error().code, ErrorCode::kIo);
  EXPECT_NE(folder.error().what.find("Is a directory"), std::string::npos);
}

TEST(OpenUnpacked, ReadsEveryPackingFromAFile) {
  const std::string text = sample_text(200'000);
  const std::string path =
      (std::filesystem::temp_directory_path() /
       ("stillpoint_pack_test_" + std::to_string(::getpid())))
          .string();
  std::vector<std::string> contents{text, zipped({{"a", text}})};
  for (const Filter filter : kFilters) {
    contents.push_back(packed(text, filter));
  }
  for (const std::string& content : contents) {
    std::ofstream(path, std::ios::binary) << content;
    auto stream = open_unpacked(path);
    ASSERT_TRUE(stream) << stream.error().text();
    EXPECT_EQ((*stream)->name(), path);
    EXPECT_TRUE(drain(**stream, 65'536).bytes == text);
  }
  std::filesystem::remove(path);
}

// A pipe cannot go back to its first byte.
TEST(OpenUnpacked, ReadsFromAPipeButNoZip) {
  const std::string text = sample_text(3000);
  const std::string contents[] = {text,
                                  packed(text, Filter::kGzip),
                                  packed(text, Filter::kBzip2),
                                  zipped({{"a", text}})};
  for (const std::string& content : contents) {
    int ends[2] = {-1, -1};
    ASSERT_EQ(::pipe(ends), 0);
    ASSERT_EQ(::write(ends[1], content.data(), content.size()),
              static_cast<ssize_t>(content.size()));
    ::close(ends[1]);
    auto stream = open_unpacked("/dev/fd/" + std::to_string(ends[0]));
    if (content.starts_with("PK")) {
      ASSERT_FALSE(stream);
      EXPECT_EQ(stream.error().code, ErrorCode::kUnsupported);
    } else {
      ASSERT_TRUE(stream) << stream.error().text();
      EXPECT_TRUE(drain(**stream).bytes == text);
    }
    ::close(ends[0]);
  }
}

// The size of what comes out is nobody's promise: memory stays the same.
TEST(Unpack, BombIsReadInPiecesOfTheCallersSize) {
  const std::string bomb = packed(std::string(3'000'000, 'x'), Filter::kGzip);
  auto stream = unpack_memory(bomb, "bomb");
  std::string block(1000, '\0');
  for (int i = 0; i < 100; ++i) {
    const auto got = stream->read(block);
    ASSERT_TRUE(got);
    EXPECT_LE(*got, block.size());
  }
}

TEST(MemoryStream, GivesItsBytesWithoutUnpacking) {
  const std::string bytes = packed("text\n", Filter::kGzip);
  EXPECT_EQ(drain(*memory_stream(bytes, "m")).bytes, bytes);
  EXPECT_EQ(memory_stream(bytes, "m")->name(), "m");
}

}  // namespace
}  // namespace stillpoint
