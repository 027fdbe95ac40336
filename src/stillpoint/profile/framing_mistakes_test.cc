// Every mistake of a framing: where it is, what is allowed, what to write.
#include <gtest/gtest.h>

#include <algorithm>
#include <map>
#include <string>
#include <vector>

#include "stillpoint/profile/framing.h"

namespace stillpoint::profile {
namespace {

using Lines = std::map<std::string, std::string>;

// A framing that is right, with some lines replaced; an empty one is left out.
std::string profile_with(const Lines& changed) {
  Lines lines = {{"name", "'packet'"},
                 {"sync", "'9E C4'"},
                 {"length_offset", "4"},
                 {"length_bytes", "2"},
                 {"length_adds", "8"},
                 {"checksum", "'crc16'"},
                 {"checksum_from", "2"},
                 {"longest", "2048"}};
  for (const auto& [key, value] : changed) {
    lines[key] = value;
  }
  std::string text = "[[framing]]\n";
  for (const auto& [key, value] : lines) {
    if (!value.empty()) {
      text.append(key).append(" = ").append(value).append("\n");
    }
  }
  return text;
}

Error error_of(const std::string& text) {
  const auto got = parse_framings(text, "p.toml");
  EXPECT_FALSE(got) << text;
  if (got) {
    return {};
  }
  EXPECT_EQ(got.error().code, ErrorCode::kConfig);
  EXPECT_FALSE(got.error().remedy.empty());
  return got.error();
}

// "p.toml:2:8" of what begins the line or, `behind` its first letter, later.
std::string place_of(const std::string& line,
                     std::size_t behind,
                     const std::string& text) {
  const std::size_t at = text.find("\n" + line) + 1;
  const auto end = text.begin() + static_cast<std::ptrdiff_t>(at);
  return "p.toml:" + std::to_string(1 + std::count(text.begin(), end, '\n')) +
         ":" + std::to_string(1 + behind);
}

std::string place_of_value(const std::string& key, const std::string& text) {
  return place_of(key + " = ", key.size() + 3, text);
}

struct Case {
  std::string key, value;
  std::string said;  // part of the message
};

const Case kCases[] = {
    {"name", "''", "1 .. 40"},
    {"name", "'two words'", "no blank"},
    {"name", "7", "text in quotes"},
    {"sync", "''", "1 .. 8 bytes"},
    {"sync", "'9E C'", "'9E C'"},
    {"sync", "'9 EC 4'", "hex digits"},
    {"sync", "'0x9EC4'", "hex digits"},
    {"sync", "'010203040506070809'", "1 .. 8 bytes"},
    {"sync", "[0x9E]", "(array)"},
    {"length_offset", "'4'", "0 .. 65535"},
    {"length_offset", "-1", "-1"},
    {"length_offset", "65536", "0 .. 65535"},
    {"length_offset", "1", "stands at 2"},
    {"length_bytes", "3", "1, 2 and 4"},
    {"length_bytes", "5", "1, 2 and 4"},
    {"length_order", "'litle'", "little, big"},
    {"length_adds", "2049", "beyond longest (2048)"},
    {"checksum", "'md5'", "none, xor, fletcher8, crc16, crc24q, crc32"},
    {"checksum", "5", "text in quotes"},
    {"checksum_start", "65536", "0 .. 65535"},
    {"checksum_from", "2047", "outside the longest packet"},
    {"checksum_order", "'middle'", "little, big"},
    {"longest", "7", "8 (header and checksum) .. 65535"},
    {"longest", "1.5", "(floating-point)"}};

TEST(FramingMistake, IsToldWithItsPlaceAndWhatIsAllowed) {
  for (const Case& c : kCases) {
    const std::string text = profile_with({{c.key, c.value}});
    const Error error = error_of(text);
    EXPECT_EQ(error.where, place_of_value(c.key, text)) << error.text();
    EXPECT_TRUE(error.what.starts_with(c.key + " = ")) << error.text();
    EXPECT_NE(error.what.find(c.said), std::string::npos) << error.text();
    EXPECT_EQ(error.what.find('\n'), std::string::npos) << error.text();
  }
}

TEST(FramingMistake, AMissingKeyIsToldAtItsTable) {
  for (const char* key : {"name",
                          "sync",
                          "length_offset",
                          "length_bytes",
                          "length_adds",
                          "checksum",
                          "checksum_from"}) {
    const Error error = error_of("\n" + profile_with({{key, ""}}));
    EXPECT_EQ(error.where, "p.toml:2:1") << key;
    EXPECT_NE(error.what.find(key), std::string::npos) << error.text();
    EXPECT_NE(error.remedy.find(key), std::string::npos) << error.remedy;
  }
}

TEST(FramingMistake, AnUnknownKeyGetsASuggestion) {
  const std::string text = profile_with({{"lenght_order", "'big'"}});
  const Error error = error_of(text);
  EXPECT_EQ(error.where, place_of("lenght_order", 0, text));
  EXPECT_EQ(error.remedy, "did you mean 'length_order'?");
  EXPECT_EQ(error_of("descripton = 'x'").remedy, "did you mean 'description'?");
  EXPECT_EQ(error_of("zzz = 1").remedy, "remove it");
}

TEST(FramingMistake, AMistypedWordGetsASuggestion) {
  EXPECT_EQ(error_of(profile_with({{"checksum", "'crc-16'"}})).remedy,
            "did you mean \"crc16\"?");
}

TEST(FramingMistake, AKeyWithoutEffectIsOne) {
  for (const Lines& lines : std::vector<Lines>{
           {{"checksum", "'none'"}},
           {{"checksum", "'crc32'"}, {"checksum_start", "1"}},
           {{"checksum", "'crc24q'"}, {"checksum_start", "0"}},
           {{"checksum", "'fletcher8'"}, {"checksum_order", "'big'"}},
           {{"checksum", "'xor'"}, {"checksum_order", "'big'"}},
           {{"length_bytes", "1"}, {"length_order", "'big'"}}}) {
    EXPECT_EQ(error_of(profile_with(lines)).remedy, "leave it out");
  }
}

TEST(FramingMistake, ALengthThatReachesNoPacketIsOne) {
  const Error error = error_of(profile_with({{"length_bytes", "1"},
                                             {"checksum_from", "400"},
                                             {"length_adds", "100"}}));
  EXPECT_NE(error.what.find("no packet"), std::string::npos) << error.text();
}

TEST(FramingMistake, AllAreToldInTheOrderOfTheText) {
  const Error error = error_of(
      "nam = 'x'\n" +
      profile_with({{"sync", "'?'"}, {"longest", "'all'"}, {"checksum", ""}}));
  EXPECT_EQ(error.where, "p.toml:1:1");
  const std::size_t table = error.what.find("\np.toml:2:1: ");
  const std::size_t longest = error.what.find("\np.toml:7:11: longest");
  const std::size_t sync = error.what.find("\np.toml:9:8: sync");
  EXPECT_LT(table, longest) << error.text();
  EXPECT_LT(longest, sync) << error.text();
  EXPECT_NE(sync, std::string::npos) << error.text();
}

TEST(FramingMistake, ManyAreCutShort) {
  std::string text;
  for (int i = 0; i < 50; ++i) {
    text += "key" + std::to_string(i) + " = 1\n";
  }
  const Error error = error_of(text);
  EXPECT_NE(error.what.find("\nand 30 more"), std::string::npos);
}

TEST(FramingMistake, TwoFramingsOfOneNameAreOne) {
  const Error error = error_of(profile_with({}) + profile_with({}));
  EXPECT_EQ(error.where, "p.toml:10:1") << error.text();
  EXPECT_NE(error.what.find("'packet'"), std::string::npos);
}

TEST(FramingMistake, SingleBracketsAndOtherShapesAreOne) {
  EXPECT_NE(error_of("[framing]\nname = 'x'").remedy.find("[[framing]]"),
            std::string::npos);
  EXPECT_NE(error_of("framing = [1]").remedy.find("[[framing]]"),
            std::string::npos);
  std::string many;
  for (int i = 0; i < 17; ++i) {
    many += profile_with({{"name", "'n" + std::to_string(i) + "'"}});
  }
  EXPECT_NE(error_of(many).what.find("16"), std::string::npos);
}

TEST(FramingMistake, BrokenTomlIsToldWithItsPlace) {
  EXPECT_EQ(error_of("name = 'x'\nsync = \n").where, "p.toml:2:8");
  EXPECT_EQ(error_of("name = 'x'\nname = 'y'\n").where, "p.toml:2:8");
  EXPECT_EQ(error_of(std::string(70000, '#')).where, "p.toml:1:1");
}

// Found by fuzzing: an assertion of toml++ 3.3, and a place that it calls
// unreachable, depend on the text (toml.h).
TEST(FramingMistake, WhatIsNoKeyIsTold) {
  EXPECT_EQ(error_of("[?]").where, "p.toml:1:2");
  EXPECT_EQ(error_of("[[=]]").where, "p.toml:1:3");
  EXPECT_EQ(error_of("\u00e4 = 1").where, "p.toml:1:1");
  EXPECT_EQ(error_of("a = 1 \u0294").where, "p.toml:1:7");
}

TEST(FramingMistake, OfAFramingMadeInCodeIsFoundToo) {
  EXPECT_EQ(find_mistake(MakerFraming{})->key, "name");
  MakerFraming framing;
  framing.name = "x";
  EXPECT_EQ(find_mistake(framing)->key, "sync");
  framing.sync = std::vector<std::uint8_t>(9);
  EXPECT_EQ(find_mistake(framing)->key, "sync");
  framing.sync = {0x9E, 0xC4};
  EXPECT_EQ(find_mistake(framing)->key, "length_offset");
  framing.length_offset = 2;
  EXPECT_FALSE(find_mistake(framing));
  framing.checksum_start = 1;
  EXPECT_EQ(find_mistake(framing)->key, "checksum_start");
  framing.checksum = ChecksumRule::kCrc16;
  EXPECT_FALSE(find_mistake(framing));
  framing.checksum_start = 0x10000;
  EXPECT_EQ(find_mistake(framing)->key, "checksum_start");
  framing.checksum_start = 0;
  framing.longest = 65536;
  EXPECT_EQ(find_mistake(framing)->key, "longest");
  framing.longest = 100;
  framing.checksum_from = SIZE_MAX;
  EXPECT_EQ(find_mistake(framing)->key, "checksum_from");
}

}  // namespace
}  // namespace stillpoint::profile
