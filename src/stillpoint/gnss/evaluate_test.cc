// evaluate(): what the published positions do not show.
#include <gtest/gtest.h>

#include <cmath>

#include "stillpoint/gnss/gnss_test_support.h"

namespace stillpoint {
namespace {

using test::kepler_set;
using test::tow;

template <class Ephemeris>
void expect_velocity_is_derivative(const Ephemeris& e, double dt_s) {
  constexpr double kStepS = 0.5;
  const GnssTime t = e.toe + Duration{dt_s};
  const Ecef difference = evaluate(e, t + Duration{kStepS}).position_m -
                          evaluate(e, t - Duration{kStepS}).position_m;
  const Ecef numeric = (0.5 / kStepS) * difference;
  EXPECT_LT(norm(numeric - evaluate(e, t).velocity_mps), 2e-5)
      << e.sat.text() << " " << dt_s;
}

// kind: cross
// source: the definition of velocity: central differences over 1 s
// tolerance: 2e-5 m/s; third derivative (4e-6 m/s^3 / 24) and rounding of
// positions (4e-9 m over 1 s) are below it
TEST(Evaluate, VelocityIsTheDerivativeOfPosition) {
  KeplerEphemeris cnav =
      kepler_set({System::kGps, 1}, NavMessage::kCnav, tow(1e5));
  cnav.a_dot_m_per_s = 0.02;
  cnav.delta_n_dot_rad_per_s2 = 1e-13;
  KeplerEphemeris geo =
      kepler_set({System::kBeidou, 3}, NavMessage::kD2, tow(1e5));
  geo.sqrt_a_sqrt_m = 6493.4;
  geo.i0_rad = 0.1;
  const KeplerEphemeris igso =
      kepler_set({System::kBeidou, 7}, NavMessage::kD1, tow(1e5));
  for (const double dt : {-7200.0, -1.0, 0.0, 3000.0, 7200.0}) {
    expect_velocity_is_derivative(cnav, dt);
    expect_velocity_is_derivative(geo, dt);
    expect_velocity_is_derivative(igso, dt);
  }
  const StateEphemeris glonass = test::glonass_set(3, tow(1e5));
  // Away from whole minutes, where the number of steps changes (0.1 mm).
  for (const double dt : {-890.0, -30.0, 30.5, 899.0}) {
    expect_velocity_is_derivative(glonass, dt);
  }
}

// kind: cross
// source: a BeiDou geostationary satellite hardly moves in the Earth's axes
// tolerance: 50 km over four hours, inclination 1.6 degrees and its drift
// move it by less; without the extra rotation it would be 3000 km
TEST(Evaluate, GeostationarySatelliteStaysAboveItsPlace) {
  KeplerEphemeris e =
      kepler_set({System::kBeidou, 1}, NavMessage::kD2, tow(14));
  e.sqrt_a_sqrt_m = 6493.4;
  e.eccentricity = 1e-4;
  e.delta_n_rad_per_s = 0;
  // The tilted axes make an equatorial orbit one of 5 degrees.
  e.i0_rad = 5 * std::acos(-1.0) / 180;
  e.omega0_rad = std::acos(-1.0);
  e.omega_dot_rad_per_s = 0;
  e.idot_rad_per_s = 0;
  const Ecef at_toe = evaluate(e, e.toe).position_m;
  const Ecef later = evaluate(e, e.toe + Duration{7200}).position_m;
  const Ecef before = evaluate(e, e.toe - Duration{7200}).position_m;
  EXPECT_LT(norm(later - at_toe), 5e4);
  EXPECT_LT(norm(before - at_toe), 5e4);
  EXPECT_LT(std::abs(at_toe.z_m), 1e4);
}

// kind: cross
// source: the same elements referred to instants on both sides of a week's end
// tolerance: 1e-6 m, the same motion computed twice
TEST(Evaluate, WeekEndIsNoStep) {
  const KeplerEphemeris e =
      kepler_set({System::kGps, 1}, NavMessage::kLnav, tow(604784));
  const Ecef a = evaluate(e, tow(604799.5)).position_m;
  const SatelliteState b = evaluate(e, tow(0.5, test::kWeek + 1));
  EXPECT_LT(norm(b.position_m - (a + 1.0 * b.velocity_mps)), 1.0);
  // One nanosecond further is 4 micrometres further.
  const Ecef c =
      evaluate(e, GnssTime::from_ns(tow(604800).ns() - 1)).position_m;
  const Ecef d = evaluate(e, tow(604800)).position_m;
  EXPECT_LT(norm(d - c), 1e-4);
}

// kind: cross
// source: definition of the clock polynomial
// tolerance: 1e-18 s, rounding
TEST(Evaluate, ClockPolynomialCountsFromToc) {
  KeplerEphemeris e =
      kepler_set({System::kGalileo, 5}, NavMessage::kFnav, tow(1e5));
  e.toc = tow(1e5 - 600);
  e.af2_s_per_s2 = 1e-18;
  const SatelliteState s = evaluate(e, tow(1e5));
  EXPECT_NEAR(s.clock_s, 1e-4 + 2e-12 * 600 + 1e-18 * 360000, 1e-18);
  EXPECT_EQ(s.issue, e.iode);
  EXPECT_FALSE(s.centre_of_mass);
}

// kind: cross
// source: dr.v term: -2 r.v / c^2 equals F e sqrt(A) sin E on a Kepler orbit
// tolerance: 1e-11 s; perturbations and the turning axes' part are below it
TEST(Evaluate, RelativityIsTheProductOfPositionAndVelocity) {
  KeplerEphemeris e =
      kepler_set({System::kGps, 1}, NavMessage::kLnav, tow(1e5));
  e.cuc_rad = e.cus_rad = e.crc_m = e.crs_m = e.cic_rad = e.cis_rad = 0;
  e.delta_n_rad_per_s = e.idot_rad_per_s = 0;
  for (const double dt : {-5000.0, 0.0, 2500.0}) {
    const SatelliteState s = evaluate(e, e.toe + Duration{dt});
    const double product = -2 * dot(s.position_m, s.velocity_mps) /
                           (kSpeedOfLightMps * kSpeedOfLightMps);
    EXPECT_NEAR(s.relativity_s, product, 1e-11);
  }
}

// kind: cross
// source: integration there and back ends where it began
// tolerance: 1e-4 m, the error of fourth order at steps of 60 s
TEST(Evaluate, GlonassIntegratesThereAndBack) {
  const StateEphemeris e = test::glonass_set(9, tow(1e5));
  for (const double dt : {-1800.0, -17.25, 433.0, 900.0, 1800.0}) {
    const SatelliteState there = evaluate(e, e.toe + Duration{dt});
    StateEphemeris from = e;
    from.toe = e.toe + Duration{dt};
    from.position_m = there.position_m;
    from.velocity_mps = there.velocity_mps;
    EXPECT_LT(norm(evaluate(from, e.toe).position_m - e.position_m), 1e-4);
  }
  EXPECT_EQ(norm(evaluate(e, e.toe).position_m - e.position_m), 0.0);
}

TEST(Evaluate, GlonassWithAWrongDateEndsSoon) {
  const StateEphemeris e = test::glonass_set(9, tow(1e5));
  const SatelliteState s = evaluate(e, tow(0, 5000));
  EXPECT_TRUE(std::isfinite(s.position_m.x_m));
}

TEST(Evaluate, SbasIsAPolynomial) {
  StateEphemeris e;
  e.sat = {System::kSbas, 33};
  e.message = NavMessage::kSbas;
  e.toe = tow(500);
  e.position_m = {4e7, 1e7, 1e3};
  e.velocity_mps = {1, -2, 3};
  e.acceleration_mps2 = {0.01, 0, -0.01};
  e.clock_s = 1e-8;
  e.clock_rate = 1e-12;
  const SatelliteState s = evaluate(e, tow(510));
  EXPECT_DOUBLE_EQ(s.position_m.x_m, 4e7 + 10 + 0.5);
  EXPECT_DOUBLE_EQ(s.velocity_mps.z_m, 3 - 0.1);
  EXPECT_DOUBLE_EQ(s.clock_s, 1e-8 + 1e-11);
  EXPECT_EQ(s.relativity_s, 0.0);
}

}  // namespace
}  // namespace stillpoint
