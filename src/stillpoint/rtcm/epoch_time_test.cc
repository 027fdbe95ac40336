#include "stillpoint/rtcm/epoch_time.h"

#include <gtest/gtest.h>

#include "stillpoint/time/scales.h"

namespace stillpoint::rtcm {
namespace {

GnssTime at(const char* text) {
  return *parse_time(text);
}

// kind: cross, field of an instant and back over a whole year
TEST(EpochTime, EverySystemFindsItsInstantAgain) {
  const GnssTime start = at("2023-12-20T00:00:00");
  for (int i = 0; i < 400; ++i) {
    const GnssTime t = start + Duration{i * 7919.0 + 0.25};
    for (const System system : kSystems) {
      const auto field = msm_epoch_field(system, t);
      ASSERT_TRUE(field);
      for (const double off_s : {-200'000.0, 0.0, 200'000.0}) {
        const auto back = msm_epoch_time(system, *field, t + Duration{off_s});
        ASSERT_TRUE(back);
        EXPECT_EQ(*back, t) << system_name(system) << ' ' << i << ' ' << off_s;
      }
    }
  }
}

// kind: published   source: RTCM 10403.3: BeiDou counts BDT (BDS-SIS-ICD: GPST
// - 14 s), GLONASS UTC + 3 h (GLONASS ICD), leap seconds of IERS Bulletin C
TEST(EpochTime, ScalesAreThoseOfTheSystems) {
  const GnssTime t = at("2024-11-24T00:00:18");  // Sunday, 00:00:00 UTC
  EXPECT_EQ(*msm_epoch_field(System::kGps, t), 18'000U);
  EXPECT_EQ(*msm_epoch_field(System::kGalileo, t), 18'000U);
  EXPECT_EQ(*msm_epoch_field(System::kBeidou, t), 4'000U);
  EXPECT_EQ(*msm_epoch_field(System::kGlonass, t), 10'800'000U);
  EXPECT_EQ(*msm_epoch_field(System::kGlonass, t + Duration{86'400}),
            (1U << 27) + 10'800'000U);
  EXPECT_EQ(*glonass_day_ms(t + Duration{21 * 3600.0}), 0U);
}

TEST(EpochTime, WeekEndsAreCrossed) {
  const GnssTime last = at("2024-11-23T23:59:59");
  EXPECT_EQ(*msm_epoch_time(System::kGps, 0, last), last + Duration{1});
  EXPECT_EQ(*msm_epoch_time(System::kGps, 604'799'000, last + Duration{1}),
            last);
  EXPECT_EQ(*msm_epoch_time(System::kBeidou, 604'786'000, last),
            last + Duration{1});
}

TEST(EpochTime, BeidouBelowZeroIsTheEndOfTheWeekBefore) {
  const GnssTime rollover = at("2018-07-15T00:00:00");
  EXPECT_EQ(*msm_epoch_time(System::kBeidou, (1U << 30) - 14'000, rollover),
            rollover);
}

TEST(EpochTime, GlonassWithoutADayTakesTheNearest) {
  const GnssTime t = at("2024-11-23T20:59:59Z");
  const auto field = *msm_epoch_field(System::kGlonass, t + Duration{1});
  const std::uint32_t no_day = (7U << 27) | (field & ((1U << 27) - 1));
  EXPECT_EQ(no_day & ((1U << 27) - 1), 0U);
  EXPECT_EQ(*msm_epoch_time(System::kGlonass, no_day, t), t + Duration{1});
}

TEST(EpochTime, TheSecondAfterALeapSecondIsToldByItsNeighbour) {
  const GnssTime leap = at("2016-12-31T23:59:60Z");
  const auto field = *msm_epoch_field(System::kGlonass, leap);
  EXPECT_EQ(*msm_epoch_time(System::kGlonass, field, leap), leap);
  EXPECT_EQ(*msm_epoch_time(System::kGlonass, field, leap + Duration{1}),
            leap + Duration{1});
  const auto before = *msm_epoch_field(System::kGlonass, leap - Duration{1});
  EXPECT_EQ(*msm_epoch_time(System::kGlonass, before, leap - Duration{5}),
            leap - Duration{1});
}

TEST(EpochTime, ReadingsOutsideWeekOrDayAreNone) {
  const GnssTime t = at("2024-11-23T12:00:00");
  EXPECT_FALSE(msm_epoch_time(System::kGps, 604'800'000, t));
  EXPECT_FALSE(msm_epoch_time(System::kBeidou, 604'800'000, t));
  EXPECT_FALSE(msm_epoch_time(System::kGlonass, 86'402'000, t));
  EXPECT_FALSE(week_ms_time(1'073'741'823, t));
}

TEST(EpochTime, PartsOfAMillisecondHaveNoField) {
  EXPECT_FALSE(msm_epoch_field(System::kGps, GnssTime::from_ns(1'000'500)));
  EXPECT_FALSE(glonass_day_ms(GnssTime::from_ns(1'000'500)));
}

}  // namespace
}  // namespace stillpoint::rtcm
