// kind: published   source: block by block in tests/vectors/klobuchar.vec,
// ntcm_g.vec, with the tolerance and its reason
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "stillpoint/models/klobuchar.h"
#include "stillpoint/models/ntcm_g.h"
#include "stillpoint/time/scales.h"
#include "tests/support/vectors.h"

namespace stillpoint::models {
namespace {

constexpr double kDeg = std::numbers::pi / 180;

// kind, source, tolerance: in the blocks of tests/vectors/klobuchar.vec
TEST(KlobucharTerms, MeetThePublishedSteps) {
  for (const auto& b : test::read_vectors("klobuchar.vec")) {
    SCOPED_TRACE(b.name);
    Klobuchar k;
    for (std::size_t i = 0; i < 4; ++i) {
      k.alpha[i] = b.in_list("alpha").at(i);
      k.beta[i] = b.in_list("beta").at(i);
    }
    const Geodetic receiver{b.in("lat_deg") * kDeg, b.in("lon_deg") * kDeg, 0};
    const AzEl direction{b.in("azimuth_deg") * kDeg,
                         b.in("elevation_deg") * kDeg};
    const GnssTime t = GnssTime::from_gps_week(2200, b.in("t_s"));
    const KlobucharTerms s = klobuchar_terms(k, receiver, direction, t);
    const auto near = [&b](double got, const char* name) {
      const double want = b.out(name);
      EXPECT_NEAR(got, want, b.tolerance * std::max(std::abs(want), 1e-9))
          << name;
    };
    near(s.earth_angle_semi, "earth_angle_semi");
    near(s.pierce_lat_semi, "pierce_lat_semi");
    near(s.pierce_lon_semi, "pierce_lon_semi");
    near(s.magnetic_lat_semi, "magnetic_lat_semi");
    near(s.local_time_s, "local_time_s");
    near(s.slant_factor, "slant_factor");
    near(s.amplitude_s, "amplitude_s");
    near(s.period_s, "period_s");
    near(s.phase_rad, "phase_rad");
    near(s.delay_s, "delay_s");
    const double delay_m = klobuchar_delay_m(k, receiver, direction, t);
    near(delay_m, "delay_m");
    if (b.has("printed_m")) {
      EXPECT_NEAR(delay_m, b.out("printed_m"), 5e-4);
    }
  }
}

// kind, source, tolerance: in the blocks of tests/vectors/ntcm_g.vec.
// The printed rows go with azimuth and elevation on the WGS84 ellipsoid; on a
// sphere they differ by 0.1 TECU.
TEST(NtcmG, MeetsEveryPrintedRow) {
  int rows = 0;
  double worst_tecu = 0;
  for (const auto& b : test::read_vectors("ntcm_g.vec")) {
    SCOPED_TRACE(b.name);
    const auto ai = b.in_list("ai");
    const Geodetic station{
        b.in("lat_deg") * kDeg, b.in("lon_deg") * kDeg, b.in("height_m")};
    const Ecef station_ecef = to_ecef(station, Ellipsoid::kWgs84);
    const auto utc_h = b.in_list("utc_h");
    const auto lat = b.in_list("sat_lat_deg");
    const auto lon = b.in_list("sat_lon_deg");
    const auto height = b.in_list("sat_height_m");
    const auto want = b.out_list("slant_tecu");
    ASSERT_EQ(want.size(), utc_h.size());
    // A year without a leap day, so that the day of year fixes the date.
    const auto new_year = from_calendar({2021, 1, 1, 0, 0, 0}, TimeScale::kUtc);
    ASSERT_TRUE(new_year);
    for (std::size_t i = 0; i < want.size(); ++i) {
      const Ecef satellite =
          to_ecef({lat.at(i) * kDeg, lon.at(i) * kDeg, height.at(i)},
                  Ellipsoid::kWgs84);
      const AzEl direction =
          azimuth_elevation(enu_R_ecef(station), satellite - station_ecef);
      const GnssTime t =
          *new_year +
          Duration{(b.in("day_of_year") - 1) * 86400 + utc_h[i] * 3600};
      const double got = ntcm_g_slant_tecu(
          {ai.at(0), ai.at(1), ai.at(2)}, station, direction, t);
      EXPECT_NEAR(got, want[i], b.tolerance) << "entry " << i;
      worst_tecu = std::max(worst_tecu, std::abs(got - want[i]));
      ++rows;
    }
  }
  EXPECT_EQ(rows, 108);
  RecordProperty("worst_tecu", std::to_string(worst_tecu));
}

}  // namespace
}  // namespace stillpoint::models
