#include "stillpoint/models/sun_moon.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "stillpoint/models/steps_for_tests.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::models {
namespace {

constexpr double kDeg = std::numbers::pi / 180;

GnssTime utc(const char* text) {
  return *parse_time(text);
}

double angle_rad(const Ecef& a, const Ecef& b) {
  return std::acos(dot(a, b) / norm(a) / norm(b));
}

// kind: published   source: NASA's eclipse predictions (F. Espenak), from
// memory: greatest eclipse of 2017-08-21 at 18:25:32 UT1, 36.97 N 87.67 W, Sun
// 63.9 degrees high, azimuth 197.9 degrees
// tolerance: 0.02 deg between Sun and Moon: aberration moves the Sun by 0.006,
// a turn of the Earth by half a degree the Moon by 0.008; 0.2 deg of height and
// azimuth: memory's one decimal, refraction left out
TEST(SunMoon, EclipseAtThePrintedPlace) {
  const GnssTime t = utc("2017-08-21T18:25:32Z");
  const SunMoon at = sun_moon(t);
  const Geodetic site{36.97 * kDeg, -87.67 * kDeg, 150};
  const Ecef from = to_ecef(site);
  EXPECT_NEAR(angle_rad(at.sun_m - from, at.moon_m - from) / kDeg, 0, 0.02);
  const AzEl sun = azimuth_elevation(enu_R_ecef(site), at.sun_m - from);
  EXPECT_NEAR(sun.elevation_rad / kDeg, 63.9, 0.2);
  EXPECT_NEAR(sun.azimuth_rad / kDeg, 197.9, 0.2);
}

// A day over the leap second of 2016-12-31, rows of round numbers near those
// of that day.
EarthOrientationSeries orientation() {
  EarthOrientationProduct product;
  const double ut1_minus_utc_s[] = {-0.407, -0.408, 0.591, 0.590};
  for (int i = 0; i < 4; ++i) {
    EarthOrientationRow row;
    row.time = utc("2016-12-30T00:00:00Z") + Duration{i * 86'400.0 + (i > 1)};
    row.value = {.x_pole_rad = 4e-7 + i * 1e-9,
                 .y_pole_rad = 1.3e-6 - i * 2e-9,
                 .ut1_minus_utc_s = ut1_minus_utc_s[i]};
    product.rows.push_back(row);
  }
  EarthOrientationSeries series;
  EXPECT_TRUE(series.add(product));
  return series;
}

void expect_track_follows(const SunMoonTrack& track,
                          const EarthOrientationSeries* eop,
                          GnssTime first,
                          double span_s) {
  for (const double s : steps(0, span_s, 777)) {
    const GnssTime t = first + Duration{s};
    const auto orientation = eop != nullptr ? eop->at(t) : std::nullopt;
    const SunMoon want = sun_moon(t, orientation.value_or(EarthOrientation{}));
    const SunMoon got = track.at(t);
    EXPECT_NEAR(norm(got.sun_m - want.sun_m) / norm(want.sun_m), 0, 1e-9) << s;
    EXPECT_NEAR(norm(got.moon_m - want.moon_m) / norm(want.moon_m), 0, 1e-9)
        << s;
  }
}

// kind: cross   source: the track against single places, over a leap second
// tolerance: 1e-9 of the distance: the cubic over an hour, 2e-10 of the Moon
// (seen: 1.8e-10), and UT1 where rows meet between two nodes
TEST(SunMoonTrack, FollowsSinglePlaces) {
  const GnssTime first = utc("2016-12-31T03:10:00Z");
  constexpr double kSpanS = 1.5 * 86'400;
  const EarthOrientationSeries eop = orientation();
  expect_track_follows(
      SunMoonTrack(first, first + Duration{kSpanS}, &eop), &eop, first, kSpanS);
  expect_track_follows(SunMoonTrack(first + Duration{kSpanS}, first, nullptr),
                       nullptr,
                       first,
                       kSpanS);
}

TEST(SunMoonTrack, FallsBackOutsideItsSpan) {
  const GnssTime first = utc("2016-12-31T00:00:00Z");
  const GnssTime last = utc("2016-12-31T06:00:00Z");
  const EarthOrientationSeries eop = orientation();
  const SunMoonTrack track(first, last, &eop);
  const GnssTime later = utc("2017-02-01T00:00:00Z");
  const auto at_last = eop.at(last);
  ASSERT_TRUE(at_last);
  // UT1 runs on, UTC has leapt.
  EarthOrientation expected = *at_last;
  expected.ut1_minus_utc_s += 1;
  const SunMoon want = sun_moon(later, expected);
  EXPECT_LT(norm(track.at(later).moon_m - want.moon_m), 0.01);
  const SunMoon before = sun_moon(first - Duration{5}, *eop.at(first));
  EXPECT_LT(norm(track.at(first - Duration{5}).moon_m - before.moon_m), 0.01);
  // Both ends belong to the span.
  EXPECT_LT(
      norm(track.at(first).moon_m - sun_moon(first, *eop.at(first)).moon_m), 1);
  EXPECT_LT(norm(track.at(last).moon_m - sun_moon(last, *at_last).moon_m), 1);
}

// Far too long to prepare: still right, and made at once.
TEST(SunMoonTrack, AVeryLongSpanIsWorkedOutOneByOne) {
  const GnssTime t = utc("2020-01-01T00:00:00Z");
  const SunMoonTrack track(
      GnssTime{}, t + Duration{20 * 365.25 * 86'400}, nullptr);
  EXPECT_EQ(norm(track.at(t).sun_m - sun_moon(t).sun_m), 0);
}

}  // namespace
}  // namespace stillpoint::models
