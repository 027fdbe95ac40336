#include "stillpoint/quality/sky_watch.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace stillpoint::quality {
namespace {

constexpr double kPi = 3.14159265358979323846;
const Ecef kAntenna = to_ecef({47.3 * kPi / 180, 8.9 * kPi / 180, 512});

// Satellites at fixed places over the antenna; G01 goes east with time.
class FixedSky final : public OrbitSource {
 public:
  static constexpr double kRangeM = 2.2e7;

  tl::expected<SatelliteState, NoState> state(SatId sat,
                                              GnssTime t) const override {
    Enu at;
    if (sat == SatId{System::kGps, 1}) {
      at = {1e3 * (t - GnssTime{}).s, 0, kRangeM};
    } else if (sat == SatId{System::kGps, 2}) {
      at = {0, kRangeM, 0.5 * kRangeM};  // north, 26.6 degrees high
    } else if (sat == SatId{System::kGalileo, 3}) {
      at = {0, kRangeM, -kRangeM};  // below
    } else {
      return tl::unexpected(NoState::kUnknownSatellite);
    }
    SatelliteState state;
    state.position_m = from_enu(at, kAntenna);
    return state;
  }
  std::optional<double> group_delay_s(SatId,
                                      GnssTime,
                                      SignalCode) const override {
    return std::nullopt;
  }
  std::optional<int> glonass_channel(SatId) const override {
    return std::nullopt;
  }
  std::string frame_label() const override { return "WGS84"; }
};

Epoch epoch_of(GnssTime t, std::initializer_list<SatId> sats) {
  Epoch epoch;
  epoch.time = t;
  for (const SatId sat : sats) {
    epoch.satellites.push_back(
        {sat, 1, static_cast<std::uint32_t>(epoch.observations.size())});
    Observation o;
    o.signal = {'1', 'C'};
    o.cn0_dbhz = 44.5;
    epoch.observations.push_back(o);
  }
  return epoch;
}

constexpr SatId kG1{System::kGps, 1}, kG2{System::kGps, 2};
constexpr SatId kE3{System::kGalileo, 3}, kR9{System::kGlonass, 9};
const GnssTime kStart = GnssTime::from_ns(1'000'000'000);

// kind: cross, where FixedSky puts G02   source: the slope of 1 to 2 set there,
// atan(1/2) = 26.565 degrees   tolerance: 1e-9 rad, rounding
TEST(SkyWatch, TellsWhatIsThereAndNotReceived) {
  const FixedSky orbits;
  SkyWatch watch;
  watch.add(epoch_of(kStart, {kG1, kR9}), orbits, kAntenna);
  const SkySnapshot sky = watch.snapshot(orbits, kAntenna);
  ASSERT_EQ(sky.satellites.size(), 3U);
  EXPECT_EQ(sky.satellites[0].sat, kG1);
  EXPECT_TRUE(sky.satellites[0].seen);
  ASSERT_EQ(sky.satellites[0].signals.size(), 1U);
  EXPECT_EQ(sky.satellites[0].signals[0].cn0_dbhz, 44.5);
  EXPECT_EQ(sky.satellites[1].sat, kG2);
  EXPECT_FALSE(sky.satellites[1].seen);
  EXPECT_NEAR(sky.satellites[1].place->elevation_rad, std::atan(0.5), 1e-9);
  EXPECT_NEAR(
      std::remainder(sky.satellites[1].place->azimuth_rad, 2 * kPi), 0, 1e-9);
  // Received without an ephemeris: no place.
  EXPECT_EQ(sky.satellites[2].sat, kR9);
  EXPECT_FALSE(sky.satellites[2].place.has_value());
}

TEST(SkyWatch, WhatIsBelowTheHorizonIsLeftOutUnlessReceived) {
  const FixedSky orbits;
  SkyWatch watch;
  watch.add(epoch_of(kStart, {kE3}), orbits, kAntenna);
  const SkySnapshot sky = watch.snapshot(orbits, kAntenna);
  const auto below = std::find_if(
      sky.satellites.begin(), sky.satellites.end(), [](const SkySatellite& s) {
        return s.sat == kE3;
      });
  ASSERT_NE(below, sky.satellites.end());
  EXPECT_LT(below->place->elevation_rad, 0);
}

TEST(SkyWatch, TracksAreAPointInFiveMinutesAndThreeHoursLong) {
  const FixedSky orbits;
  SkyWatch watch;
  for (int s = 0; s <= 5 * 3600; s += 30) {
    watch.add(epoch_of(kStart + Duration{static_cast<double>(s)}, {kG1}),
              orbits,
              kAntenna);
  }
  const SkySnapshot sky = watch.snapshot(orbits, kAntenna);
  ASSERT_EQ(sky.tracks.size(), 1U);
  const auto& points = sky.tracks[0].points;
  EXPECT_EQ(points.size(), 37U);
  EXPECT_EQ((points.back().at - points.front().at).s, SkyWatch::kWindowS);
  EXPECT_EQ((points[1].at - points[0].at).s, SkyWatch::kStepS);
}

TEST(SkyWatch, WithoutAPlaceOfTheAntennaSatellitesHaveNone) {
  const FixedSky orbits;
  SkyWatch watch;
  EXPECT_TRUE(watch.snapshot(orbits, std::nullopt).satellites.empty());
  watch.add(epoch_of(kStart, {kG1}), orbits, std::nullopt);
  const SkySnapshot sky = watch.snapshot(orbits, std::nullopt);
  ASSERT_EQ(sky.satellites.size(), 1U);
  EXPECT_FALSE(sky.satellites[0].place.has_value());
  EXPECT_TRUE(sky.tracks.empty());
}

TEST(SkyWatch, AClockSetBackBeginsTheTracksAfresh) {
  const FixedSky orbits;
  SkyWatch watch;
  watch.add(epoch_of(kStart + Duration{9000}, {kG1}), orbits, kAntenna);
  watch.add(epoch_of(kStart, {kG1}), orbits, kAntenna);
  const SkySnapshot sky = watch.snapshot(orbits, kAntenna);
  ASSERT_EQ(sky.tracks.size(), 1U);
  EXPECT_EQ(sky.tracks[0].points.size(), 1U);
}

}  // namespace
}  // namespace stillpoint::quality
