// Framings out of TOML text that is right, the shipped profiles among it.
#include "stillpoint/profile/framing.h"

#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <iterator>

#include "stillpoint/profile/splitter_test_support.h"
#include "tests/support/vectors.h"

namespace stillpoint::profile {
namespace {

std::filesystem::path root() {
  return std::filesystem::path(stillpoint::test::vector_path("crc.vec"))
      .parent_path()
      .parent_path()
      .parent_path();
}

std::string text_of(const std::filesystem::path& path) {
  std::ifstream file(path);
  return {std::istreambuf_iterator<char>(file), {}};
}

TEST(Framing, EveryKeyIsRead) {
  const auto got = parse_framings(R"(
name = "SPDEMO-R1"
description = "all keys"
[[framing]]
name = "long"
sync = "9e C4 00"
length_offset = 5
length_bytes = 4
length_order = "big"
length_adds = 11
checksum = "crc16"
checksum_start = 0xFFFF
checksum_from = 3
checksum_order = "big"
longest = 65535
)",
                                  "p.toml");
  ASSERT_TRUE(got) << got.error().text();
  ASSERT_EQ(got->size(), 1U);
  const MakerFraming& framing = got->front();
  EXPECT_EQ(framing.name, "long");
  EXPECT_EQ(framing.sync, (test::Bytes{0x9E, 0xC4, 0x00}));
  EXPECT_EQ(framing.length_offset, 5U);
  EXPECT_EQ(framing.length_bytes, 4U);
  EXPECT_FALSE(framing.length_little_endian);
  EXPECT_EQ(framing.length_adds, 11U);
  EXPECT_EQ(framing.checksum, ChecksumRule::kCrc16);
  EXPECT_EQ(framing.checksum_start, 0xFFFFU);
  EXPECT_EQ(framing.checksum_from, 3U);
  EXPECT_FALSE(framing.checksum_little_endian);
  EXPECT_EQ(framing.longest, 65535U);
}

TEST(Framing, WhatIsLeftOutHasTheDocumentedValue) {
  const auto got = parse_framings(
      "[[framing]]\nname = 'a'\nsync = '9EC4'\nlength_offset = 2\n"
      "length_bytes = 2\nlength_adds = 4\nchecksum = 'none'\n",
      "p.toml");
  ASSERT_TRUE(got) << got.error().text();
  const MakerFraming& framing = got->front();
  EXPECT_TRUE(framing.length_little_endian);
  EXPECT_TRUE(framing.checksum_little_endian);
  EXPECT_EQ(framing.checksum_start, 0U);
  EXPECT_EQ(framing.longest, 4096U);
}

TEST(Framing, ChecksumWordsAreThoseOfTheRules) {
  const std::pair<const char*, ChecksumRule> words[] = {
      {"xor", ChecksumRule::kXor},
      {"fletcher8", ChecksumRule::kFletcher8},
      {"crc16", ChecksumRule::kCrc16},
      {"crc24q", ChecksumRule::kCrc24q},
      {"crc32", ChecksumRule::kCrc32}};
  for (const auto& [word, rule] : words) {
    const auto got = parse_framings(
        "[[framing]]\nname = 'a'\nsync = '9EC4'\nlength_offset = 2\n"
        "length_bytes = 1\nlength_adds = 4\nchecksum_from = 0\nchecksum = '" +
            std::string(word) + "'\nlongest = 20\n",
        "p.toml");
    ASSERT_TRUE(got) << got.error().text();
    EXPECT_EQ(got->front().checksum, rule);
  }
}

TEST(Framing, AProfileWithoutFramingsIsValid) {
  for (const char* text : {"", "name = \"x\"", "framing = []"}) {
    const auto got = parse_framings(text, "p.toml");
    ASSERT_TRUE(got) << got.error().text();
    EXPECT_TRUE(got->empty());
  }
}

TEST(Framing, TheShippedProfilesAreValid) {
  std::size_t files = 0;
  for (const auto& entry :
       std::filesystem::directory_iterator(root() / "receivers")) {
    const std::string name = entry.path().filename().string();
    const auto got = parse_framings(text_of(entry.path()), name);
    ASSERT_TRUE(got) << got.error().text();
    EXPECT_EQ(got->size(), name == "spdemo-r1.toml" ? 1U : 0U) << name;
    ++files;
  }
  EXPECT_EQ(files, 3U);
}

TEST(Framing, PacketsOfTheDemoReceiverAreFound) {
  const auto makers = parse_framings(
      text_of(root() / "receivers" / "spdemo-r1.toml"), "spdemo-r1.toml");
  ASSERT_TRUE(makers);
  // The drawing in the profile: length 3, so 13 bytes. The CRC of the bytes 2
  // to 8 is from an independent script (kind: cross).
  const test::Bytes packet = test::from_hex("9EC4 01 00 0300 AABBCC 448FB73D");
  const auto got =
      test::split(test::joined({packet, test::rtcm_1005()}), *makers);
  ASSERT_EQ(got.frames.size(), 2U);
  EXPECT_EQ(got.frames[0].bytes, packet);
}

}  // namespace
}  // namespace stillpoint::profile
