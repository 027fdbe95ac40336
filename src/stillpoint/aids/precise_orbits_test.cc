#include "stillpoint/aids/precise_orbits.h"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "stillpoint/gnss/epoch.h"

namespace stillpoint {
namespace {

constexpr double kOmegaRadPerS = 7.2921151467e-5;
constexpr SatId kG01{System::kGps, 1};
GnssTime at(double s) {
  return GnssTime::from_gps_week(2111, 345'600) + Duration{s};
}

// from, from + step, … up to and with `to`.
std::vector<double> steps(double from, double to, double step) {
  std::vector<double> values;
  const auto count = static_cast<int>((to - from) / step + 1e-9);
  for (int i = 0; i <= count; ++i) {
    values.push_back(from + i * step);
  }
  return values;
}

// An undisturbed ellipse around the Earth, in axes that rotate with it.
struct Ellipse {
  double a_m = 26'560e3, eccentricity = 0.02, inclination_rad = 0.96;

  [[nodiscard]] Ecef position(double s) const {
    const double n = std::sqrt(3.986005e14 / (a_m * a_m * a_m));
    double e_rad = n * s;
    for (int i = 0; i < 30; ++i) {
      e_rad = n * s + eccentricity * std::sin(e_rad);
    }
    const double p = a_m * (std::cos(e_rad) - eccentricity);
    const double q =
        a_m * std::sqrt(1 - eccentricity * eccentricity) * std::sin(e_rad);
    const double x = p;
    const double y = q * std::cos(inclination_rad);
    const double turn = kOmegaRadPerS * s;
    return {x * std::cos(turn) + y * std::sin(turn),
            y * std::cos(turn) - x * std::sin(turn),
            q * std::sin(inclination_rad)};
  }
};

double clock_at(double s) {
  return 1e-4 + 1e-11 * s;
}

// Samples of the ellipse every interval_s in [from_s, to_s].
PreciseProduct product(double from_s,
                       double to_s,
                       double interval_s,
                       SatId sat = kG01) {
  PreciseProduct p;
  p.source = "invented.sp3";
  p.frame_label = "IGS20";
  p.agency = "LHOL";
  p.interval_s = interval_s;
  for (const double s : steps(from_s, to_s, interval_s)) {
    p.epochs.push_back({at(s),
                        {{.sat = sat,
                          .position_m = Ellipse{}.position(s),
                          .clock_s = clock_at(s)}}});
  }
  return p;
}

PreciseOrbits orbits_of(PreciseProduct p) {
  PreciseOrbits orbits;
  EXPECT_TRUE(orbits.add(std::move(p)));
  return orbits;
}

double distance_m(const Ecef& a, const Ecef& b) {
  return norm(a - b);
}

// kind: cross (an analytic ellipse)
// tolerance: the remainder of an 11-point polynomial at 15 minutes is 6e-7 m
// in the middle for a circle (n h = 0.13; (n h)^11 a / 11! x product of the
// distances). Of an ellipse of e = 0.02 the harmonics at 2 n and 3 n weigh
// e/2 2^11 and 3/8 e^2 3^11 = 20 and 27 times that: 3e-5 m in all, 5e-5 m
// with the higher ones
TEST(PreciseOrbits, ReproducesAnEllipseInTheMiddle) {
  const PreciseOrbits orbits = orbits_of(product(0, 86'400, 900));
  for (const double s : steps(6 * 900, 80'000, 77.7)) {
    const auto state = orbits.state(kG01, at(s));
    ASSERT_TRUE(state);
    EXPECT_LT(distance_m(state->position_m, Ellipse{}.position(s)), 5e-5) << s;
    EXPECT_NEAR(state->clock_s, clock_at(s), 1e-15);
    EXPECT_TRUE(state->centre_of_mass);
    EXPECT_EQ(state->issue, -1);
  }
}

// kind: cross (differences of the analytic ellipse over 1 and 2 s that are
// good to fourth order)
// tolerance: rounding of 2.6e7 m is 4e-9 m, 1e-8 m/s after differencing; the
// polynomial's own slope is off by its remainder (3e-5 m, test above) over
// some 1e2 s of the interval, less at samples: 2e-6 m/s
TEST(PreciseOrbits, VelocityIsTheDerivativeInRotatingAxes) {
  const PreciseOrbits orbits = orbits_of(product(0, 86'400, 900));
  const Ellipse e;
  for (const double s : steps(6 * 900, 80'000, 1777.7)) {
    const auto state = orbits.state(kG01, at(s));
    ASSERT_TRUE(state);
    const Ecef slope =
        (1.0 / 12) * (8.0 * (e.position(s + 1) - e.position(s - 1)) -
                      (e.position(s + 2) - e.position(s - 2)));
    EXPECT_LT(distance_m(state->velocity_mps, slope), 2e-6) << s;
  }
}

// kind: cross (the other textbook form of the same term:
// -2 sqrt(mu a) e sin E / c^2, IS-GPS-200 20.3.3.3.3.1)
// tolerance: 1e-14 s; the term itself is up to 5e-8 s
TEST(PreciseOrbits, RelativityIsTheTermOfTheEccentricOrbit) {
  const PreciseOrbits orbits = orbits_of(product(0, 86'400, 900));
  const Ellipse e;
  const double n = std::sqrt(3.986005e14 / std::pow(e.a_m, 3));
  for (const double s : steps(6 * 900, 80'000, 1777.7)) {
    double e_rad = n * s;
    for (int i = 0; i < 30; ++i) {
      e_rad = n * s + e.eccentricity * std::sin(e_rad);
    }
    const double expected = -2 * std::sqrt(3.986005e14 * e.a_m) *
                            e.eccentricity * std::sin(e_rad) /
                            (kSpeedOfLightMps * kSpeedOfLightMps);
    EXPECT_NEAR(orbits.state(kG01, at(s))->relativity_s, expected, 1e-14);
  }
}

// kind: cross   tolerance: none, samples come back but for rounding (1e-7 m)
TEST(PreciseOrbits, GivesTheSamplesThemselves) {
  const PreciseOrbits orbits = orbits_of(product(0, 86'400, 300));
  for (const double s : steps(0, 86'400, 300)) {
    const auto state = orbits.state(kG01, at(s));
    ASSERT_TRUE(state) << s;
    EXPECT_LT(distance_m(state->position_m, Ellipse{}.position(s)), 1e-7);
    EXPECT_EQ(state->clock_s, clock_at(s));
  }
}

// kind: cross
// tolerance: remainder (n h)^11 a x 11!/11! = 5 mm for a circle one interval
// of 15 minutes outside, 50 times that for the ellipse (see above); it must
// stay below the sigma given
TEST(PreciseOrbits, OrbitGoesOneIntervalOutsideAndTheClockNowhere) {
  const PreciseOrbits orbits = orbits_of(product(0, 14'400, 900));
  for (const double s : {-900.0, -450.0, 14'850.0, 15'300.0}) {
    const auto orbit = orbits.orbit(kG01, at(s));
    ASSERT_TRUE(orbit) << s;
    const double off_m = distance_m(orbit->position_m, Ellipse{}.position(s));
    EXPECT_LT(off_m, 0.3) << s;
    EXPECT_LT(off_m, orbit->range_sigma_m) << s;
    EXPECT_TRUE(std::isnan(orbit->clock_s));
    const auto state = orbits.state(kG01, at(s));
    ASSERT_FALSE(state);
    EXPECT_EQ(state.error(), NoState::kNoClock);
  }
  for (const double s : {-900.1, 15'300.1, -1e6, 1e6, 1e9, -1e9}) {
    const auto orbit = orbits.orbit(kG01, at(s));
    ASSERT_FALSE(orbit);
    EXPECT_EQ(orbit.error(), NoState::kOutsideValidity);
  }
  // The printed digits are amplified outside, and the sigma says so.
  EXPECT_GT(orbits.orbit(kG01, at(-900))->range_sigma_m, 0.2);
  EXPECT_LT(orbits.orbit(kG01, at(7200))->range_sigma_m, 0.037);
}

// kind: cross (analytic orbits, the most eccentric in use among them)
// tolerance: three of the sigmas the source states, by definition
TEST(PreciseOrbits, SigmaCoversTheErrorAtTheEnds) {
  for (const double eccentricity : {0.001, 0.02, 0.16}) {
    const Ellipse e{.eccentricity = eccentricity};
    PreciseProduct p = product(0, 14'400, 900);
    for (PreciseEpoch& epoch : p.epochs) {
      epoch.samples[0].position_m = e.position((epoch.time - at(0)).s);
    }
    const PreciseOrbits orbits = orbits_of(std::move(p));
    for (const double s : steps(-900, 15'300, 50)) {
      const auto state = orbits.orbit(kG01, at(s));
      ASSERT_TRUE(state);
      EXPECT_LT(distance_m(state->position_m, e.position(s)),
                3 * state->range_sigma_m)
          << s << " " << eccentricity;
    }
  }
}

TEST(PreciseOrbits, UnknownSatelliteAndTooFewSamplesAreSaid) {
  const PreciseOrbits orbits = orbits_of(product(0, 9 * 900, 900));
  EXPECT_EQ(orbits.state(kG01, at(900)).error(), NoState::kOutsideValidity);
  EXPECT_EQ(orbits.state({System::kGps, 2}, at(900)).error(),
            NoState::kUnknownSatellite);
  EXPECT_EQ(orbits.state({System::kNavic, 255}, at(900)).error(),
            NoState::kUnknownSatellite);
  EXPECT_EQ(PreciseOrbits().state(kG01, at(0)).error(),
            NoState::kUnknownSatellite);
  EXPECT_EQ(PreciseOrbits().frame_label(), "");
  EXPECT_FALSE(PreciseOrbits().first());
}

TEST(PreciseOrbits, ClockIsNotInterpolatedOverGapOrEvent) {
  PreciseProduct p = product(0, 14'400, 900);
  p.epochs[5].samples[0].clock_s = kMissing;
  p.epochs[9].samples[0].clock_event = true;
  const PreciseOrbits orbits = orbits_of(std::move(p));
  EXPECT_EQ(orbits.state(kG01, at(4 * 900 + 1)).error(), NoState::kNoClock);
  EXPECT_EQ(orbits.state(kG01, at(5 * 900)).error(), NoState::kNoClock);
  EXPECT_EQ(orbits.state(kG01, at(6 * 900 - 1)).error(), NoState::kNoClock);
  EXPECT_TRUE(orbits.state(kG01, at(6 * 900)));
  EXPECT_TRUE(orbits.state(kG01, at(8 * 900)));
  EXPECT_EQ(orbits.state(kG01, at(8.5 * 900)).error(), NoState::kNoClock);
  EXPECT_TRUE(orbits.state(kG01, at(9 * 900)));
  EXPECT_TRUE(orbits.state(kG01, at(9.5 * 900)));
}

TEST(PreciseOrbits, OneMissingSampleIsBridgedByTheOrbitTwoAreNot) {
  PreciseProduct p = product(0, 86'400, 300);
  p.epochs[100].samples.clear();
  p.epochs[200].samples[0].position_m.x_m = kMissing;
  p.epochs[201].samples.clear();
  const PreciseOrbits orbits = orbits_of(std::move(p));
  const auto bridged = orbits.orbit(kG01, at(100 * 300));
  ASSERT_TRUE(bridged);
  EXPECT_LT(distance_m(bridged->position_m, Ellipse{}.position(100 * 300)),
            1e-6);
  EXPECT_EQ(orbits.state(kG01, at(100 * 300)).error(), NoState::kNoClock);
  EXPECT_TRUE(orbits.orbit(kG01, at(200 * 300)));
  EXPECT_TRUE(orbits.orbit(kG01, at(201 * 300)));
  PreciseProduct wide = product(0, 86'400, 300);
  wide.epochs.erase(wide.epochs.begin() + 100, wide.epochs.begin() + 110);
  const PreciseOrbits gap = orbits_of(std::move(wide));
  EXPECT_EQ(gap.orbit(kG01, at(104 * 300)).error(), NoState::kOutsideValidity);
  EXPECT_TRUE(gap.orbit(kG01, at(100 * 300)));
  EXPECT_TRUE(gap.orbit(kG01, at(109 * 300)));
}

TEST(PreciseOrbits, ManoeuvreSeparatesBeforeAndAfter) {
  PreciseProduct p = product(0, 86'400, 300);
  for (std::size_t k = 144; k < p.epochs.size(); ++k) {
    p.epochs[k].samples[0].position_m.x_m += 1000;
  }
  p.epochs[144].samples[0].manoeuvre = true;
  const PreciseOrbits orbits = orbits_of(std::move(p));
  const auto before = orbits.state(kG01, at(143 * 300));
  const auto after = orbits.state(kG01, at(144 * 300 + 10));
  ASSERT_TRUE(before && after);
  EXPECT_LT(distance_m(before->position_m, Ellipse{}.position(143 * 300)),
            1e-6);
  EXPECT_NEAR(distance_m(after->position_m, Ellipse{}.position(144 * 300 + 10)),
              1000,
              1);
  EXPECT_EQ(orbits.state(kG01, at(143 * 300 + 10)).error(),
            NoState::kOutsideValidity);
}

TEST(PreciseOrbits, FilesOfTwoDaysBecomeOneWithoutAnEdge) {
  PreciseOrbits orbits;
  ASSERT_TRUE(orbits.add(product(86'400, 2 * 86'400 - 900, 900)));
  ASSERT_TRUE(orbits.add(product(0, 86'400 - 900, 900)));
  EXPECT_EQ(*orbits.first(), at(0));
  EXPECT_EQ(*orbits.last(), at(2 * 86'400 - 900));
  for (const double s : steps(86'400 - 3000, 86'400 + 3000, 10)) {
    const auto state = orbits.state(kG01, at(s));
    ASSERT_TRUE(state) << s;
    EXPECT_LT(distance_m(state->position_m, Ellipse{}.position(s)), 5e-5);
  }
}

TEST(PreciseOrbits, FirstAddedWinsAndALaterOneOnlyFillsWhatIsOpen) {
  PreciseProduct other = product(0, 18'000, 300);
  other.agency = "OTHER";
  for (PreciseEpoch& epoch : other.epochs) {
    epoch.samples[0].clock_s += 1e-6;
  }
  PreciseOrbits orbits;
  ASSERT_TRUE(orbits.add(product(0, 14'400, 900)));
  ASSERT_TRUE(orbits.add(std::move(other)));
  // Inside the first product nothing is taken from the second.
  for (const double s : steps(0, 14'400, 50)) {
    EXPECT_NEAR(orbits.state(kG01, at(s))->clock_s, clock_at(s), 1e-15) << s;
  }
  // Between the two the clock scales differ.
  EXPECT_EQ(orbits.state(kG01, at(14'550)).error(), NoState::kNoClock);
  for (const double s : steps(14'700, 18'000, 50)) {
    const auto state = orbits.state(kG01, at(s));
    ASSERT_TRUE(state) << s;
    EXPECT_NEAR(state->clock_s, clock_at(s) + 1e-6, 1e-15);
    // Mixed spacing: the general nodes.
    EXPECT_LT(distance_m(state->position_m, Ellipse{}.position(s)), 1e-3) << s;
  }
}

TEST(PreciseOrbits, ALaterProductAddsItsOwnSatellites) {
  PreciseOrbits orbits;
  ASSERT_TRUE(orbits.add(product(0, 14'400, 900)));
  const SatId e05{System::kGalileo, 5};
  ASSERT_TRUE(orbits.add(product(0, 14'400, 900, e05)));
  EXPECT_TRUE(orbits.state(kG01, at(3000)));
  EXPECT_TRUE(orbits.state(e05, at(3000)));
}

TEST(PreciseOrbits, DifferentFrameOrReferencePointIsRefused) {
  PreciseOrbits orbits;
  ASSERT_TRUE(orbits.add(product(0, 14'400, 900)));
  PreciseProduct frame = product(14'400, 28'800, 900);
  frame.frame_label = "IGb14";
  frame.source = "second.sp3";
  const auto mixed = orbits.add(frame);
  ASSERT_FALSE(mixed);
  EXPECT_EQ(mixed.error().code, ErrorCode::kMixedInput);
  EXPECT_EQ(mixed.error().where, "second.sp3");
  EXPECT_NE(mixed.error().what.find("'IGb14'"), std::string::npos);
  EXPECT_NE(mixed.error().what.find("'IGS20'"), std::string::npos);
  PreciseProduct phase = product(14'400, 28'800, 900);
  phase.centre_of_mass = false;
  const auto point = orbits.add(phase);
  ASSERT_FALSE(point);
  EXPECT_EQ(point.error().code, ErrorCode::kMixedInput);
  EXPECT_EQ(orbits.frame_label(), "IGS20");
  EXPECT_EQ(*orbits.last(), at(14'400));
}

// kind: cross (definition of a random walk tied at both ends)
// tolerance: the wander is the median of 96 differences, known to 10 %
TEST(PreciseOrbits, SigmaGrowsWithTheWanderOfTheClockItself) {
  PreciseProduct p = product(0, 86'400, 900);
  double walk_s = 0;
  unsigned state = 7;
  for (PreciseEpoch& epoch : p.epochs) {
    double sum = -6;  // of 12 uniform numbers: nearly normal
    for (int i = 0; i < 12; ++i) {
      state = state * 1664525U + 1013904223U;
      sum += static_cast<double>(state >> 8U) / 16'777'216.0;
    }
    walk_s += sum * 1e-11 * 30;
    epoch.samples[0].clock_s += walk_s;
  }
  const PreciseOrbits orbits = orbits_of(std::move(p));
  const double at_sample = orbits.state(kG01, at(45'000))->range_sigma_m;
  const double between = orbits.state(kG01, at(45'450))->range_sigma_m;
  EXPECT_NEAR(at_sample, std::hypot(0.03, 0.02), 1e-4);
  // Half of 1e-11 x sqrt(900) x c.
  EXPECT_NEAR(
      std::sqrt(between * between - at_sample * at_sample), 0.045, 0.009);
}

TEST(PreciseOrbits, PredictedSamplesAreTrustedLess) {
  PreciseProduct p = product(0, 86'400, 900);
  p.epochs[90].samples[0].predicted = true;
  const PreciseOrbits orbits = orbits_of(std::move(p));
  EXPECT_GT(orbits.state(kG01, at(81'000))->range_sigma_m, 1);
  EXPECT_LT(orbits.state(kG01, at(40'000))->range_sigma_m, 0.1);
}

TEST(PreciseOrbits, ClockReferenceSignalsHaveNoDelayOthersAreUnknown) {
  const PreciseOrbits orbits;
  const auto known = [&](System system, char band, char attribute) {
    const auto delay_s =
        orbits.group_delay_s({system, 1}, at(0), {band, attribute});
    EXPECT_TRUE(!delay_s || *delay_s == 0);
    return delay_s.has_value();
  };
  EXPECT_TRUE(known(System::kGps, '1', 'W'));
  EXPECT_TRUE(known(System::kGps, '2', 'P'));
  EXPECT_FALSE(known(System::kGps, '1', 'C'));
  EXPECT_FALSE(known(System::kGps, '5', 'Q'));
  EXPECT_TRUE(known(System::kGlonass, '2', 'P'));
  EXPECT_FALSE(known(System::kGlonass, '2', 'C'));
  EXPECT_TRUE(known(System::kGalileo, '5', 'X'));
  EXPECT_FALSE(known(System::kGalileo, '7', 'Q'));
  EXPECT_TRUE(known(System::kBeidou, '6', 'I'));
  EXPECT_TRUE(known(System::kQzss, '2', 'S'));
  EXPECT_FALSE(known(System::kSbas, '1', 'C'));
  EXPECT_FALSE(known(System::kGps, 0, 0));
  EXPECT_FALSE(orbits.glonass_channel({System::kGlonass, 1}));
}

}  // namespace
}  // namespace stillpoint
