#include "stillpoint/intake/export/file_name.h"

#include <gtest/gtest.h>

#include "stillpoint/time/scales.h"

namespace stillpoint::intake {
namespace {

const FileNaming kLong{.station = "LHOL00XXX"};
const FileNaming kShort{.station = "LHOL00XXX",
                        .version = rinex::Version::k211};

Period between(const char* start, const char* end) {
  return {*parse_time(start), *parse_time(end)};
}
const Period kDay = between("2026-06-02", "2026-06-03");
const Period kTen = between("2026-06-02T10:00:00", "2026-06-02T11:00:00");
const Period kQuarter = between("2026-06-02T10:15:00", "2026-06-02T10:30:00");

TEST(ObservationFileName, IsTheLongOne) {
  // 2026-06-02 is day 153.
  EXPECT_EQ(observation_file_name(kLong, kDay, 30),
            "LHOL00XXX_S_20261530000_01D_30S_MO.rnx");
  EXPECT_EQ(observation_file_name(kLong, kTen, 1),
            "LHOL00XXX_S_20261531000_01H_01S_MO.rnx");
  EXPECT_EQ(observation_file_name(kLong, kQuarter, 0.1),
            "LHOL00XXX_S_20261531015_15M_10Z_MO.rnx");
}

TEST(ObservationFileName, SaysHowItIsPacked) {
  FileNaming naming = kLong;
  naming.hatanaka = true;
  EXPECT_EQ(observation_file_name(naming, kDay, 30),
            "LHOL00XXX_S_20261530000_01D_30S_MO.crx");
  naming.gzip = true;
  EXPECT_EQ(observation_file_name(naming, kDay, 30),
            "LHOL00XXX_S_20261530000_01D_30S_MO.crx.gz");
  EXPECT_EQ(navigation_file_name(naming, kDay, {}),
            "LHOL00XXX_S_20261530000_01D_MN.rnx.gz");
}

TEST(ObservationFileName, TakesTheLargestUnitThatHoldsTheSpan) {
  const auto code = [](const char* start, const char* end) {
    return observation_file_name(kLong, between(start, end), 1).substr(24, 3);
  };
  EXPECT_EQ(code("2026-06-02T10:00:00", "2026-06-02T12:00:00"), "02H");
  EXPECT_EQ(code("2026-06-02T10:00:00", "2026-06-02T11:30:00"), "90M");
  // Rounded up: no two digits say 110 minutes.
  EXPECT_EQ(code("2026-06-02T10:00:00", "2026-06-02T11:50:00"), "02H");
  EXPECT_EQ(code("2026-06-02T10:00:00", "2026-06-02T10:00:30"), "01M");
}

TEST(FrequencyCode, IsInTheLargestUnit) {
  EXPECT_EQ(frequency_code(1), "01S");
  EXPECT_EQ(frequency_code(30), "30S");
  EXPECT_EQ(frequency_code(60), "01M");
  EXPECT_EQ(frequency_code(3600), "01H");
  EXPECT_EQ(frequency_code(0.2), "05Z");
  EXPECT_EQ(frequency_code(0.05), "20Z");
  EXPECT_EQ(frequency_code(0.01), "01C");
  EXPECT_EQ(frequency_code(1.5), "00U");
  EXPECT_EQ(frequency_code({}), "00U");
}

TEST(ShortName, IsThatOfVersionTwo) {
  EXPECT_EQ(observation_file_name(kShort, kDay, 30), "lhol1530.26o");
  EXPECT_EQ(observation_file_name(kShort, kTen, 30), "lhol153k.26o");
  EXPECT_EQ(observation_file_name(kShort, kQuarter, 30), "lhol153k15.26o");
  EXPECT_EQ(navigation_file_name(kShort, kDay, System::kGps), "lhol1530.26n");
  EXPECT_EQ(navigation_file_name(kShort, kDay, System::kGlonass),
            "lhol1530.26g");
}

TEST(ShortName, OfAPartOfADayIsNotThatOfTheDay) {
  const Period half = between("2026-06-02", "2026-06-02T12:00:00");
  EXPECT_EQ(observation_file_name(kShort, half, 30), "lhol153a00.26o");
}

}  // namespace
}  // namespace stillpoint::intake
