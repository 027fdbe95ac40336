#include "stillpoint/gnss/satellite.h"

#include <gtest/gtest.h>

#include <set>

namespace stillpoint {
namespace {

TEST(System, LetterAndBackForEverySystem) {
  for (const System s : kSystems) {
    EXPECT_EQ(system_from_letter(system_letter(s)), s) << system_name(s);
  }
  EXPECT_FALSE(system_from_letter('M'));
  EXPECT_FALSE(system_from_letter('g'));
}

TEST(ParseSatellite, AcceptsTheThreeWaysOfWritingIt) {
  const SatId g7{System::kGps, 7};
  EXPECT_EQ(parse_satellite("G07"), g7);
  EXPECT_EQ(parse_satellite("G 7"), g7);
  EXPECT_EQ(parse_satellite(" 7"), g7);
  EXPECT_EQ(parse_satellite("  7"), g7);
  EXPECT_EQ(parse_satellite(" 7", 'R'), (SatId{System::kGlonass, 7}));
  EXPECT_EQ(parse_satellite("S33"), (SatId{System::kSbas, 33}));
}

TEST(ParseSatellite, RefusesEverythingElse) {
  for (const char* text :
       {"", "7", "G7", "G00", "G7 ", "X07", "g07", "G-1", "G007", "GG7"}) {
    EXPECT_FALSE(parse_satellite(text)) << text;
  }
}

TEST(SatId, TextAndParserAgreeAndIndicesAreDistinct) {
  std::set<int> indices;
  for (const System s : kSystems) {
    for (int n = 1; n <= 99; ++n) {
      const SatId sat{s, static_cast<std::uint8_t>(n)};
      EXPECT_EQ(parse_satellite(sat.text()), sat);
      EXPECT_TRUE(indices.insert(sat.index()).second);
      EXPECT_LT(sat.index(), SatId::kIndexCount);
    }
  }
}

}  // namespace
}  // namespace stillpoint
