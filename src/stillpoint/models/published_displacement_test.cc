// kind: published   source: block by block in tests/vectors/displacement.vec
// and sun_moon.vec, with the tolerance and its reason
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <fstream>
#include <numbers>
#include <sstream>
#include <string>
#include <vector>

#include "stillpoint/models/ocean_loading.h"
#include "stillpoint/models/pole_tide.h"
#include "stillpoint/models/solid_tide.h"
#include "stillpoint/models/sun_moon.h"
#include "stillpoint/time/scales.h"
#include "tests/support/vectors.h"

namespace stillpoint::models {
namespace {

constexpr double kDeg = std::numbers::pi / 180;
constexpr double kArcsec = kDeg / 3600;

GnssTime utc_of(const test::Block& b) {
  const auto t = parse_time(b.word("utc"));
  EXPECT_TRUE(t) << b.name;
  return t ? *t : GnssTime{};
}

Ecef vector_of(const std::vector<double>& list) {
  EXPECT_EQ(list.size(), 3U);
  return list.size() == 3 ? Ecef{list[0], list[1], list[2]} : Ecef{};
}

LoadingTides loading_of(const test::Block& b) {
  LoadingTides tides;
  constexpr std::array kNames{"up", "west", "south"};
  for (std::size_t c = 0; c < kNames.size(); ++c) {
    const auto amplitude = b.in_list(std::string("amp_") + kNames[c]);
    const auto lag_deg = b.in_list(std::string("ph_") + kNames[c]);
    EXPECT_EQ(amplitude.size(), 11U);
    EXPECT_EQ(lag_deg.size(), 11U);
    for (std::size_t i = 0; i < 11; ++i) {
      tides.amplitude_m[c][i] = amplitude.at(i);
      tides.phase_rad[c][i] = lag_deg.at(i) * kDeg;
    }
  }
  return tides;
}

double largest(const Ecef& v) {
  return std::max({std::abs(v.x_m), std::abs(v.y_m), std::abs(v.z_m)});
}

void check_solid_tide(const test::Block& b) {
  const SunMoon bodies{.sun_m = vector_of(b.in_list("sun")),
                       .moon_m = vector_of(b.in_list("moon"))};
  const Ecef got =
      solid_tide_m(vector_of(b.in_list("station")), bodies, utc_of(b));
  EXPECT_LE(largest(got - vector_of(b.out_list("displacement"))), b.tolerance);
}

void check_ocean_loading(const test::Block& b) {
  const GnssTime start = utc_of(b);
  const OceanLoading loading(loading_of(b), start);
  const auto up = b.out_list("up");
  const auto south = b.out_list("south");
  const auto west = b.out_list("west");
  ASSERT_EQ(up.size(), 24U);
  for (std::size_t i = 0; i < up.size(); ++i) {
    const Enu got = loading.displacement_m(
        start + Duration{3600.0 * static_cast<double>(i)});
    EXPECT_NEAR(got.u_m, up[i], b.tolerance) << "hour " << i;
    EXPECT_NEAR(-got.n_m, south.at(i), b.tolerance) << "hour " << i;
    EXPECT_NEAR(-got.e_m, west.at(i), b.tolerance) << "hour " << i;
  }
}

void check_pole_tide(const test::Block& b) {
  const Geodetic site{b.in("lat_deg") * kDeg, b.in("lon_deg") * kDeg, 0};
  const EarthOrientation eop{.x_pole_rad = b.in("xp_arcsec") * kArcsec,
                             .y_pole_rad = b.in("yp_arcsec") * kArcsec};
  const Enu got =
      rotate(enu_R_ecef(site),
             pole_tide_m(to_ecef(site), eop, from_decimal_year(b.in("year"))));
  EXPECT_NEAR(got.e_m, b.out("east"), b.tolerance);
  EXPECT_NEAR(got.n_m, b.out("north"), b.tolerance);
  EXPECT_NEAR(got.u_m, b.out("up"), b.tolerance);
}

// kind, source, tolerance: in the blocks of tests/vectors/displacement.vec
TEST(Displacement, MeetsThePublishedValues) {
  int solid = 0;
  int ocean = 0;
  int pole = 0;
  for (const auto& b : test::read_vectors("displacement.vec")) {
    SCOPED_TRACE(b.name);
    const std::string model = b.word("model");
    if (model == "solid_tide") {
      check_solid_tide(b);
      ++solid;
    } else if (model == "ocean_loading") {
      check_ocean_loading(b);
      ++ocean;
    } else {
      ASSERT_EQ(model, "pole_tide");
      check_pole_tide(b);
      ++pole;
    }
  }
  EXPECT_GE(solid, 3);
  EXPECT_GE(ocean, 2);
  EXPECT_GE(pole, 3);
}

// kind: published   source: first lines of tests/vectors/solid_tide_1000.txt
// tolerance: 2e-4 m: step 2 is the shared list as given, whose rows are rounded
// to 0.01 mm and not all those of the routine. Measured: largest 0.100 mm,
// median 0.022 mm. 3e-5 m for the median: without the latitude dependence of
// h2 or l2 it is 0.047 or 0.041 mm, with the largest still below 2e-4 m
TEST(Displacement, MeetsAThousandPublishedSolidTides) {
  std::ifstream file(test::vector_path("solid_tide_1000.txt"));
  std::vector<double> differences;
  for (std::string line; std::getline(file, line);) {
    if (line.starts_with('#')) {
      continue;
    }
    std::istringstream in(line);
    Calendar day;
    double hours = 0;
    Ecef station;
    Ecef sun_km;
    Ecef moon;
    Ecef um;
    in >> day.year >> day.month >> day.day >> hours;
    for (Ecef* v : {&station, &sun_km, &moon, &um}) {
      in >> v->x_m >> v->y_m >> v->z_m;
    }
    ASSERT_TRUE(in) << line;
    const auto midnight = from_calendar(day, TimeScale::kUtc);
    ASSERT_TRUE(midnight) << line;
    const SunMoon bodies{.sun_m = 1000 * sun_km, .moon_m = moon};
    const Ecef got =
        solid_tide_m(station, bodies, *midnight + Duration{hours * 3600});
    differences.push_back(norm(got - 1e-6 * um));
  }
  ASSERT_EQ(differences.size(), 1000U);
  std::sort(differences.begin(), differences.end());
  RecordProperty("median_m", std::to_string(differences[500]));
  RecordProperty("largest_m", std::to_string(differences.back()));
  EXPECT_LE(differences[500], 3e-5);
  EXPECT_LE(differences.back(), 2e-4);
}

// kind, source, tolerance: in the blocks of tests/vectors/sun_moon.vec
TEST(SunMoon, MeetsThePrintedVectors) {
  int suns = 0;
  int moons = 0;
  for (const auto& b : test::read_vectors("sun_moon.vec")) {
    SCOPED_TRACE(b.name);
    const SunMoon both = sun_moon(utc_of(b));
    const bool is_sun = b.word("body") == "sun";
    const Ecef got = is_sun ? both.sun_m : both.moon_m;
    const double distance_m = b.out("distance_m");
    EXPECT_NEAR(norm(got) / distance_m, 1, b.tolerance);
    EXPECT_NEAR(got.z_m / distance_m, b.out("z_m") / distance_m, b.tolerance);
    is_sun ? ++suns : ++moons;
  }
  EXPECT_GE(suns, 2);
  EXPECT_GE(moons, 3);
}

}  // namespace
}  // namespace stillpoint::models
