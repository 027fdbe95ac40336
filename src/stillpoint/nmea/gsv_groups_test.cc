#include "stillpoint/nmea/gsv_groups.h"

#include <gtest/gtest.h>

#include "stillpoint/nmea/nmea_test_support.h"

namespace stillpoint::nmea {
namespace {

Gsv gsv(std::string_view body) {
  return decoded<Gsv>(body);
}

TEST(GsvGroups, SentencesOfAGroupBecomeOneList) {
  GsvGroups groups;
  EXPECT_FALSE(groups.add(
      gsv("GPGSV,2,1,05,1,10,20,30,2,11,21,31,3,12,22,32,4,13,23,33,1")));
  const auto whole = groups.add(gsv("GPGSV,2,2,05,5,14,24,34,1"));
  ASSERT_TRUE(whole.has_value());
  EXPECT_EQ(whole->talker, "GP");
  EXPECT_EQ(whole->signal_id, 1);
  EXPECT_EQ(whole->satellites_in_view, 5);
  ASSERT_EQ(whole->satellites.size(), 5U);
  for (int k = 0; k < 5; ++k) {
    EXPECT_EQ(whole->satellites[static_cast<std::size_t>(k)].number, k + 1);
  }
  EXPECT_EQ(groups.incomplete(), 0U);
}

TEST(GsvGroups, OneSentenceIsAGroup) {
  GsvGroups groups;
  const auto whole = groups.add(gsv("GQGSV,1,1,00"));
  ASSERT_TRUE(whole.has_value());
  EXPECT_TRUE(whole->satellites.empty());
  EXPECT_FALSE(whole->signal_id.has_value());
}

TEST(GsvGroups, TalkersAndSignalsMayComeMixed) {
  GsvGroups groups;
  EXPECT_FALSE(groups.add(gsv("GPGSV,2,1,02,1,,,30,1")));
  EXPECT_FALSE(groups.add(gsv("GPGSV,2,1,02,1,,,40,6")));
  EXPECT_FALSE(groups.add(gsv("GAGSV,2,1,02,1,,,50,1")));
  const auto first = groups.add(gsv("GPGSV,2,2,02,2,,,31,1"));
  const auto second = groups.add(gsv("GPGSV,2,2,02,2,,,41,6"));
  const auto third = groups.add(gsv("GAGSV,2,2,02,2,,,51,1"));
  ASSERT_TRUE(first && second && third);
  EXPECT_EQ(first->satellites[1].cn0_dbhz, 31);
  EXPECT_EQ(second->satellites[1].cn0_dbhz, 41);
  EXPECT_EQ(third->satellites[1].cn0_dbhz, 51);
  EXPECT_EQ(groups.incomplete(), 0U);
}

TEST(GsvGroups, IndexOneStartsAnew) {
  GsvGroups groups;
  EXPECT_FALSE(groups.add(gsv("GPGSV,3,1,09,1,,,")));
  EXPECT_FALSE(groups.add(gsv("GPGSV,2,1,05,7,,,")));
  const auto whole = groups.add(gsv("GPGSV,2,2,05,8,,,"));
  ASSERT_TRUE(whole.has_value());
  ASSERT_EQ(whole->satellites.size(), 2U);
  EXPECT_EQ(whole->satellites[0].number, 7);
  EXPECT_EQ(groups.incomplete(), 1U);
}

TEST(GsvGroups, AGapDropsTheGroup) {
  GsvGroups groups;
  EXPECT_FALSE(groups.add(gsv("GPGSV,3,1,09,1,,,")));
  EXPECT_FALSE(groups.add(gsv("GPGSV,3,3,09,9,,,")));
  EXPECT_EQ(groups.incomplete(), 1U);
  EXPECT_FALSE(groups.add(gsv("GPGSV,3,2,09,5,,,")));  // of no group
  EXPECT_EQ(groups.incomplete(), 2U);
  EXPECT_FALSE(groups.add(gsv("GPGSV,3,1,09,1,,,")));
  EXPECT_FALSE(groups.add(gsv("GPGSV,4,2,09,5,,,")));  // another total
  EXPECT_EQ(groups.incomplete(), 3U);
  EXPECT_FALSE(groups.add(gsv("GPGSV,3,1,09,1,,,")));
  EXPECT_FALSE(groups.add(gsv("GPGSV,3,2,09,1,,,")));
  EXPECT_FALSE(groups.add(gsv("GPGSV,3,2,09,1,,,")));  // twice
  EXPECT_EQ(groups.incomplete(), 4U);
}

TEST(GsvGroups, OpenGroupsAndTheirLengthAreBounded) {
  GsvGroups groups;
  EXPECT_FALSE(groups.add(gsv("GPGSV,33,1,99,1,,,")));
  EXPECT_EQ(groups.incomplete(), 1U);
  // 3 talkers x 16 signals are more than may be open: the first are dropped.
  constexpr const char* kHex = "0123456789ABCDEF";
  for (const std::string talker : {"GP", "GL", "GA"}) {
    for (int k = 0; k < 16; ++k) {
      EXPECT_FALSE(groups.add(gsv(talker + "GSV,2,1,02,1,,,," + kHex[k])));
    }
  }
  EXPECT_EQ(groups.incomplete(), 1U + 48U - GsvGroups::kMaxOpen);
  EXPECT_FALSE(groups.add(gsv("GPGSV,2,2,02,2,,,,F")));
  EXPECT_TRUE(groups.add(gsv("GLGSV,2,2,02,66,,,,0")));
  EXPECT_TRUE(groups.add(gsv("GAGSV,2,2,02,2,,,,F")));
}

}  // namespace
}  // namespace stillpoint::nmea
