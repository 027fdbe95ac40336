// Profiles with steps out of TOML text that is right.
#include "stillpoint/profile/profile.h"

#include "stillpoint/profile/profile_test_support.h"

namespace stillpoint::profile {
namespace {

using test::profile_of;
using test::step_of;

TEST(Profile, EveryKeyOfATextStepIsRead) {
  const Profile profile = profile_of(R"(
name = "two"
description = "of everything"
[[step]]
name = "rate one"
text = "$PSPD,RATE,{x_m}"
line_end = "lf"
checksum = "nmea"
reply = "$PSPD,DONE"
refusal = "$PSPD,NO"
tries = 7
reply_within_s = 0.25
pause_s = 1
optional = true
)");
  EXPECT_EQ(profile.name, "two");
  EXPECT_EQ(profile.description, "of everything");
  ASSERT_EQ(profile.steps.size(), 1U);
  const Step& step = profile.steps.front();
  EXPECT_EQ(step.name, "rate one");
  EXPECT_EQ(step.place, "p.toml:4:1");
  EXPECT_TRUE(step.is_text);
  EXPECT_TRUE(step.is_sentence);
  EXPECT_EQ(step.line_end, "\n");
  EXPECT_EQ(step.reply.line_begin, "$PSPD,DONE");
  EXPECT_EQ(step.refusal.line_begin, "$PSPD,NO");
  EXPECT_TRUE(step.reply.bytes.empty());
  EXPECT_EQ(step.tries, 7U);
  EXPECT_EQ(step.reply_within_s, 0.25);
  EXPECT_EQ(step.pause_s, 1);
  EXPECT_TRUE(step.optional);
}

TEST(Profile, EveryKeyOfAHexStepIsRead) {
  const Step step = step_of(
      "hex = '01 02 0304'\nchecksum = 'crc16'\nchecksum_start = 0xFFFF\n"
      "checksum_from = 1\nchecksum_order = 'big'\n"
      "reply_hex = 'A0 ?? B0'\nrefusal_hex = 'A1 ??b1'\n");
  EXPECT_FALSE(step.is_text);
  EXPECT_EQ(step.pieces.front().bytes, test::from_hex("01020304"));
  EXPECT_EQ(step.checksum.rule, ChecksumRule::kCrc16);
  EXPECT_EQ(step.checksum.start, 0xFFFFU);
  EXPECT_EQ(step.checksum.from, 1U);
  EXPECT_FALSE(step.checksum.little_endian);
  using Pattern = std::vector<std::optional<std::uint8_t>>;
  EXPECT_EQ(step.reply.bytes, (Pattern{0xA0, std::nullopt, 0xB0}));
  EXPECT_EQ(step.refusal.bytes, (Pattern{0xA1, std::nullopt, 0xB1}));
}

TEST(Profile, WhatIsLeftOutOfAStepHasTheDocumentedValue) {
  const Step silent = step_of("text = 'RATE 1'\n");
  EXPECT_EQ(silent.line_end, "\r\n");
  EXPECT_FALSE(silent.is_sentence);
  EXPECT_TRUE(silent.reply.empty());
  EXPECT_TRUE(silent.refusal.empty());
  EXPECT_EQ(silent.tries, 1U);
  EXPECT_EQ(silent.pause_s, 0);
  EXPECT_FALSE(silent.optional);
  const Step asking = step_of("text = 'RATE 1'\nreply = 'OK'\n");
  EXPECT_EQ(asking.tries, 3U);
  EXPECT_EQ(asking.reply_within_s, 2);
}

TEST(Profile, StepsKeepTheirOrder) {
  std::string text;
  for (const char* name : {"b", "a", "c"}) {
    text += "[[step]]\nname = '" + std::string(name) + "'\ntext = 'x'\n";
  }
  const Profile profile = profile_of(text);
  ASSERT_EQ(profile.steps.size(), 3U);
  EXPECT_EQ(
      profile.steps[0].name + profile.steps[1].name + profile.steps[2].name,
      "bac");
}

TEST(Profile, AStepMayNameAFramingBelowIt) {
  const Profile profile = profile_of(
      "[[step]]\nname = 'x'\nhex = '9E C4 10 00 {length}'\n"
      "framing = 'SPDEMO'\n" +
      std::string(test::kDemoFraming));
  EXPECT_EQ(profile.steps.front().checksum.rule, ChecksumRule::kCrc32);
}

TEST(Profile, LineEndsAreThoseOfTheirWords) {
  const std::pair<const char*, const char*> words[] = {
      {"crlf", "\r\n"}, {"lf", "\n"}, {"cr", "\r"}, {"none", ""}};
  for (const auto& [word, bytes] : words) {
    EXPECT_EQ(
        step_of("text = 'x'\nline_end = '" + std::string(word) + "'").line_end,
        bytes);
  }
}

}  // namespace
}  // namespace stillpoint::profile
