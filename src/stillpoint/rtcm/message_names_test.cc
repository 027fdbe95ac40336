#include "stillpoint/rtcm/message_names.h"

#include <gtest/gtest.h>

#include <string>

namespace stillpoint::rtcm {
namespace {

// kind: published   source: RTCM 10403.3, table of message types, from memory
TEST(MessageName, EveryKindHasTheStandardsName) {
  EXPECT_STREQ(message_name(1004), "Extended L1&L2 GPS RTK observables");
  EXPECT_STREQ(message_name(1006),
               "Stationary RTK reference station ARP with antenna height");
  EXPECT_STREQ(message_name(1077), "GPS MSM7");
  EXPECT_STREQ(message_name(1121), "BeiDou MSM1");
  EXPECT_STREQ(message_name(1230), "GLONASS L1 and L2 code-phase biases");
  EXPECT_STREQ(message_name(1302), "RTCM coordinate reference system");
}

// kind: cross   MSM numbers are 1070 + 10 * system + level, levels 1 to 7
TEST(MessageName, MsmNumbersFollowTheirPattern) {
  const std::string systems[] = {
      "GPS", "GLONASS", "Galileo", "SBAS", "QZSS", "BeiDou", "NavIC"};
  for (int system = 0; system < 7; ++system) {
    const int first = 1070 + 10 * system;
    EXPECT_EQ(message_name(first), nullptr);
    for (int level = 1; level <= 7; ++level) {
      EXPECT_EQ(message_name(first + level),
                systems[system] + " MSM" + std::to_string(level));
    }
    EXPECT_EQ(message_name(first + 8), nullptr);
  }
}

TEST(MessageName, CompaniesAreNotNamed) {
  for (int type = 4001; type <= 4095; ++type) {
    EXPECT_STREQ(message_name(type), "proprietary");
  }
}

TEST(MessageName, NumbersWithoutANameHaveNone) {
  for (const int type : {-1,
                         0,
                         1000,
                         1018,
                         1028,
                         1069,
                         1138,
                         1229,
                         1240,
                         1305,
                         4000,
                         4096,
                         99999}) {
    EXPECT_EQ(message_name(type), nullptr) << type;
  }
}

}  // namespace
}  // namespace stillpoint::rtcm
