#include "stillpoint/solve/ppp_antennas.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "stillpoint/solve/ppp_scene_for_tests.h"

namespace stillpoint::solve {
namespace {

using test::gps;

constexpr double kDeg = std::numbers::pi / 180;
const GnssTime kDay = GnssTime::from_gps_week(2300, 43'200);
constexpr SatId kE11{System::kGalileo, 11};

AntennaFrequency frequency_of(System system,
                              int number,
                              const AntennaVector& offset_m,
                              std::vector<float> by_zenith_m) {
  AntennaFrequency f;
  f.system = system;
  f.number = number;
  f.offset_m = offset_m;
  f.by_zenith_m = std::move(by_zenith_m);
  return f;
}

// A receiver's antenna, GPS bands 1 and 2; variation at 0, 45, 90 degrees of
// zenith, or none.
AntennaPattern receiver_of(const char* type, bool variation) {
  AntennaPattern p;
  p.type = type;
  p.zenith_last_rad = 90 * kDeg;
  p.zenith_step_rad = 45 * kDeg;
  const std::vector<float> none;
  p.frequencies = {
      frequency_of(System::kGps,
                   1,
                   {0.001, 0.002, 0.100},
                   variation ? std::vector<float>{0, 0.004F, 0.01F} : none),
      frequency_of(System::kGps,
                   2,
                   {-0.001, 0.001, 0.120},
                   variation ? std::vector<float>{0, -0.002F, 0.006F} : none)};
  return p;
}

AntennaPattern satellite_of(SatId sat, double z_m, const char* model = "") {
  AntennaPattern p;
  p.type = "INVENTED";
  p.satellite = sat;
  p.sinex_code = model;
  for (const int number : {1, 2, 5}) {
    p.frequencies.push_back(frequency_of(sat.system, number, {0, 0, z_m}, {}));
  }
  return p;
}

AntennaPatterns patterns_of(std::vector<AntennaPattern> antennas) {
  AntennaProduct product;
  product.antennas = std::move(antennas);
  AntennaPatterns patterns;
  EXPECT_TRUE(patterns.add(std::move(product)));
  return patterns;
}

PppRow gps_row() {
  PppRow r;
  r.sat = gps(7);
  r.phase_first = r.code_first = {'1', 'C'};
  r.phase_second = r.code_second = {'2', 'W'};
  r.first_hz = test::kFirstHz;
  r.second_hz = test::kSecondHz;
  r.weight_first = 2.5;
  return r;
}

// North-east-up of a ray at azimuth 90 degrees.
AntennaVector eastern(double zenith_deg) {
  return {0, std::sin(zenith_deg * kDeg), std::cos(zenith_deg * kDeg)};
}

// kind: cross   offset projected on the ray and variation by hand, combined
// with weights 2.5 and -1.5.
// tolerance: 1e-8 m, variations are floats of some millimetres
TEST(PppAntennas, ExactTypeServesWithItsVariation) {
  const AntennaPatterns patterns =
      patterns_of({receiver_of("SPDEMO-A1       SPDM", true),
                   receiver_of("SPDEMO-A1       NONE", true)});
  PppOptions options;
  options.aids.patterns = &patterns;
  options.antenna_type = "SPDEMO-A1       NONE";
  PppAntennas antennas(options);
  EXPECT_EQ(antennas.receiver(), Calibration::kFull);
  EXPECT_STREQ(calibration_name(antennas.receiver()), "full");
  EXPECT_TRUE(antennas.receiver_stand_in().empty());
  EXPECT_NEAR(antennas.receiver_m(gps_row(), eastern(0)),
              -2.5 * 0.100 + 1.5 * 0.120,
              1e-8);
  const double half = std::sqrt(0.5);
  const double first_m = -half * (0.002 + 0.100) + 0.004;
  const double second_m = -half * (0.001 + 0.120) - 0.002;
  EXPECT_NEAR(antennas.receiver_m(gps_row(), eastern(45)),
              2.5 * first_m - 1.5 * second_m,
              1e-8);
}

// kind: cross   the offset alone, by hand as above.
// tolerance: 1e-12 m, roundings
TEST(PppAntennas, AnotherRadomeStandsInAsAnOffset) {
  const AntennaPatterns patterns =
      patterns_of({receiver_of("SPDEMO-A1       SPDM", true)});
  PppOptions options;
  options.aids.patterns = &patterns;
  options.antenna_type = "SPDEMO-A1       NONE";
  PppAntennas antennas(options);
  EXPECT_EQ(antennas.receiver(), Calibration::kOffset);
  EXPECT_EQ(antennas.receiver_stand_in(), "SPDEMO-A1       SPDM");
  const double half = std::sqrt(0.5);
  EXPECT_NEAR(antennas.receiver_m(gps_row(), eastern(45)),
              -half * (2.5 * 0.102 - 1.5 * 0.121),
              1e-12);
}

TEST(PppAntennas, OffsetOfTheExactTypeGoesBeforeAnotherRadome) {
  const AntennaPatterns patterns =
      patterns_of({receiver_of("SPDEMO-A1       SPDM", true)});
  const AntennaPatterns offsets =
      patterns_of({receiver_of("SPDEMO-A1       NONE", false)});
  PppOptions options;
  options.aids.patterns = &patterns;
  options.aids.offsets = &offsets;
  options.antenna_type = "SPDEMO-A1       NONE";
  const PppAntennas antennas(options);
  EXPECT_EQ(antennas.receiver(), Calibration::kOffset);
  EXPECT_TRUE(antennas.receiver_stand_in().empty());
}

TEST(PppAntennas, UnknownOrUnwantedAntennaIsNone) {
  const AntennaPatterns patterns =
      patterns_of({receiver_of("SPDEMO-A1       NONE", true)});
  PppOptions options;
  options.aids.patterns = &patterns;
  for (const char* type : {"SPOTHER-B2      NONE", ""}) {
    options.antenna_type = type;
    PppAntennas antennas(options);
    EXPECT_EQ(antennas.receiver(), Calibration::kNone);
    EXPECT_EQ(antennas.receiver_m(gps_row(), eastern(0)), 0);
  }
  options.antenna_type = "SPDEMO-A1       NONE";
  options.without.add(Term::kReceiverAntenna);
  EXPECT_EQ(PppAntennas(options).receiver(), Calibration::kNone);
}

// Galileo's first carrier is that of GPS, its fifth (1176 MHz) is 51 MHz from
// the nearest that is calibrated.
TEST(PppAntennas, NeighbouringBandStandsInAndThatIsSaid) {
  const AntennaPatterns patterns =
      patterns_of({receiver_of("SPDEMO-A1       NONE", true)});
  PppOptions options;
  options.aids.patterns = &patterns;
  options.antenna_type = "SPDEMO-A1       NONE";
  PppAntennas antennas(options);
  const double own_m = antennas.receiver_m(gps_row(), eastern(30));
  EXPECT_FALSE(antennas.other_bands());
  PppRow r = gps_row();
  r.sat = kE11;
  r.phase_second = {'5', 'Q'};
  EXPECT_EQ(antennas.receiver_m(r, eastern(30)), own_m);
  EXPECT_TRUE(antennas.other_bands());
}

// kind: cross   towards the Earth the whole Z offset shortens the range.
// tolerance: 1e-12 m, roundings
TEST(PppAntennas, SatellitesComeFromPatternsThenOffsets) {
  AntennaPattern old = satellite_of(gps(8), 2.5, "INVENTED_1");
  old.valid_until = kDay - Duration{300 * 86'400.0};
  AntennaPattern old_galileo = satellite_of(kE11, 0.6, "INVENTED_1");
  old_galileo.valid_until = old.valid_until;
  AntennaPattern recent = satellite_of(gps(9), 1.5, "INVENTED_1");
  recent.valid_until = kDay - Duration{30 * 86'400.0};
  const AntennaPatterns patterns = patterns_of({satellite_of(gps(7), 1.0)});
  const AntennaPatterns offsets = patterns_of(
      {satellite_of(gps(7), 9.0, "INVENTED_1"), old, recent, old_galileo});
  PppOptions options;
  options.aids.patterns = &patterns;
  options.aids.offsets = &offsets;
  PppAntennas antennas(options);
  const AntennaVector down{0, 0, 1};
  EXPECT_NEAR(
      antennas.satellite_m(antennas.satellite(gps(7), kDay), gps_row(), down),
      -1.0,
      1e-12);
  EXPECT_EQ(antennas.satellite(gps(7), kDay).level, Calibration::kOffset);
  // Its number may be another satellite's by now.
  EXPECT_EQ(antennas.satellite(gps(8), kDay).level, Calibration::kNone);
  EXPECT_EQ(
      antennas.satellite_m(antennas.satellite(gps(8), kDay), gps_row(), down),
      0);
  EXPECT_EQ(antennas.satellite(gps(9), kDay).level, Calibration::kOffset);
  EXPECT_NEAR(antennas.satellite(gps(9), kDay).days_off, 30, 1e-9);
  // Numbers of Galileo stay.
  EXPECT_EQ(antennas.satellite(kE11, kDay).level, Calibration::kOffset);
  EXPECT_TRUE(antennas.knows_satellites(kDay));
  EXPECT_EQ(antennas.models(), std::vector<std::string>{"INVENTED_1"});
}

TEST(PppAntennas, KnowsNoSatelliteWithoutCalibrations) {
  PppOptions options;
  EXPECT_FALSE(PppAntennas(options).knows_satellites(kDay));
  const AntennaPatterns patterns = patterns_of({satellite_of(gps(7), 1.0)});
  options.aids.patterns = &patterns;
  EXPECT_TRUE(PppAntennas(options).knows_satellites(kDay));
  options.without.add(Term::kSatelliteAntenna);
  EXPECT_FALSE(PppAntennas(options).knows_satellites(kDay));
}

// Where centres of mass are given, a satellite without an offset would be a
// metre off.
TEST(PppAntennas, SatelliteWithoutCalibrationIsLeftOutWhereOthersHaveOne) {
  test::SceneOrbits orbits;
  orbits.centre_of_mass = true;
  PppSession session = test::modelled(test::Scene(), 21);
  const SatId without = test::satellite_above(session, 10, 30 * kDeg);
  ASSERT_NE(without.number, 0);
  std::vector<AntennaPattern> all;
  for (int number = 1; number <= 24; ++number) {
    if (gps(number) != without) {
      all.push_back(satellite_of(gps(number), 1.0));
    }
  }
  const AntennaPatterns patterns = patterns_of(std::move(all));
  PppOptions options = test::scene_options();
  options.aids.patterns = &patterns;
  Counts counts;
  compute_rows(orbits, options, session, counts);
  for (const PppRow& r : session.rows) {
    if (r.sat == without) {
      EXPECT_FALSE(r.modelled());
    }
  }
  const auto reason = static_cast<std::size_t>(Exclusion::kNoAntenna);
  ASSERT_TRUE(counts.excluded.contains(without));
  EXPECT_EQ(counts.excluded[without][reason], 21);
  for (const auto& [sat, reasons] : counts.excluded) {
    EXPECT_EQ(reasons[reason], sat == without ? 21 : 0);
  }

  // None has one: all stay, and are told.
  options.aids.patterns = nullptr;
  Counts none;
  const PppModelLog log = compute_rows(orbits, options, session, none);
  int rows = 0;
  for (const PppRow& r : session.rows) {
    rows += r.modelled() ? 1 : 0;
  }
  EXPECT_GT(rows, 21 * 4);
  EXPECT_EQ(log.without_antenna, rows);
  EXPECT_FALSE(log.no_antenna.empty());
}

}  // namespace
}  // namespace stillpoint::solve
