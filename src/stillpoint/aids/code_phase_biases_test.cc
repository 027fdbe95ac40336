#include "stillpoint/aids/code_phase_biases.h"

#include <gtest/gtest.h>

namespace stillpoint {
namespace {

constexpr SatId kG03{System::kGps, 3};
const GnssTime kStart = GnssTime::from_gps_week(2341, 518'400);

BiasRow row_of(const char* observable,
               double value,
               double from_s,
               double to_s) {
  BiasRow row;
  row.satellite = kG03;
  row.first = observable;
  row.value = value;
  row.from = kStart + Duration{from_s};
  row.until = kStart + Duration{to_s};
  return row;
}

BiasProduct product_of(std::vector<BiasRow> rows) {
  BiasProduct product;
  product.rows = std::move(rows);
  return product;
}

// kind: cross (nanoseconds; half open rows that meet)
// tolerance: 1e-21 s, roundings
TEST(CodePhaseBiases, RowsHoldFromStartToEnd) {
  CodePhaseBiases biases;
  ASSERT_TRUE(biases.add(product_of({row_of("C1C", 3, 0, 900),
                                     row_of("C1C", 4, 900, 1800),
                                     row_of("L1C", 5, 0, 1800)})));
  const auto code = [&](double s) {
    return biases.osb_s(kG03, {'1', 'C'}, false, kStart + Duration{s});
  };
  EXPECT_FALSE(code(-1));
  EXPECT_NEAR(*code(0), 3e-9, 1e-21);
  EXPECT_NEAR(*code(899), 3e-9, 1e-21);
  // Of two rows that hold, the later start.
  EXPECT_NEAR(*code(900), 4e-9, 1e-21);
  EXPECT_NEAR(*code(1800), 4e-9, 1e-21);
  EXPECT_FALSE(code(1801));
  EXPECT_NEAR(*biases.osb_s(kG03, {'1', 'C'}, true, kStart), 5e-9, 1e-21);
  EXPECT_FALSE(biases.osb_s(kG03, {'1', 'W'}, false, kStart));
  EXPECT_FALSE(biases.osb_s({System::kGps, 4}, {'1', 'C'}, false, kStart));
  EXPECT_FALSE(biases.sigma_s(kG03, {'1', 'C'}, false, kStart));
}

TEST(CodePhaseBiases, LongRowStillHoldsWhereAShortOneInsideHasEnded) {
  CodePhaseBiases biases;
  ASSERT_TRUE(biases.add(
      product_of({row_of("C1C", 3, 0, 3600), row_of("C1C", 4, 900, 1800)})));
  EXPECT_EQ(*biases.osb_s(kG03, {'1', 'C'}, false, kStart + Duration{2000}),
            3 * 1e-9);
}

// kind: cross (value + slope times the time since the row's start)
// tolerance: 1e-21 s, roundings
TEST(CodePhaseBiases, SlopeCountsFromTheStartOfTheRow) {
  BiasRow row = row_of("L5Q", 0.75, 900, 1800);
  row.slope = BiasSlope{2e-5, {}};
  row.sigma = 0.02;
  CodePhaseBiases biases;
  ASSERT_TRUE(biases.add(product_of({row})));
  const auto at = [&](double s) {
    return *biases.osb_s(kG03, {'5', 'Q'}, true, kStart + Duration{s});
  };
  EXPECT_NEAR(at(900), 0.75e-9, 1e-21);
  EXPECT_NEAR(at(1800), 0.768e-9, 1e-21);
  EXPECT_NEAR(*biases.sigma_s(kG03, {'5', 'Q'}, true, kStart + Duration{900}),
              0.02e-9,
              1e-21);
}

// kind: published   source: L1 is 1575.42 MHz and GLONASS L1 of channel k is
// 1602 + k 0.5625 MHz (RINEX 4.02, tables of observation codes)
// tolerance: 1e-24 s, roundings
TEST(CodePhaseBiases, CyclesBecomeSecondsByTheCarrier) {
  BiasRow gps = row_of("L1C", 0.5, 0, 900);
  gps.unit = BiasUnit::kCycles;
  BiasRow glonass = gps;
  glonass.satellite = SatId{System::kGlonass, 1};
  glonass.system = System::kGlonass;
  CodePhaseBiases biases;
  ASSERT_TRUE(biases.add(product_of({gps, glonass})));
  EXPECT_NEAR(
      *biases.osb_s(kG03, {'1', 'C'}, true, kStart), 0.5 / 1575.42e6, 1e-24);
  EXPECT_FALSE(biases.osb_s(*glonass.satellite, {'1', 'C'}, true, kStart));
  EXPECT_NEAR(*biases.osb_s(*glonass.satellite, {'1', 'C'}, true, kStart, -7),
              0.5 / (1602e6 - 7 * 0.5625e6),
              1e-24);
}

TEST(CodePhaseBiases, OpenEndsHoldForEver) {
  BiasRow row = row_of("C1C", 3, 0, 0);
  row.from.reset();
  row.until.reset();
  CodePhaseBiases biases;
  ASSERT_TRUE(biases.add(product_of({row})));
  EXPECT_TRUE(biases.osb_s(kG03, {'1', 'C'}, false, GnssTime()));
  EXPECT_TRUE(biases.osb_s(kG03, {'1', 'C'}, false, kStart));
}

TEST(CodePhaseBiases, DifferencesAndStationsAreNotTakenForSatellites) {
  BiasRow difference = row_of("C1C", 3, 0, 900);
  difference.kind = BiasKind::kDifference;
  difference.second = "C1W";
  BiasRow station = row_of("C1C", 3, 0, 900);
  station.station = "LHOL";
  CodePhaseBiases biases;
  ASSERT_TRUE(
      biases.add(product_of({difference, station, row_of("S1C", 1, 0, 9)})));
  EXPECT_FALSE(biases.osb_s(kG03, {'1', 'C'}, false, kStart));
}

TEST(CodePhaseBiases, FirstProductGoesBeforeAndModesDoNotMix) {
  CodePhaseBiases biases;
  ASSERT_TRUE(biases.add(product_of({row_of("C1C", 3, 0, 900)})));
  ASSERT_TRUE(biases.add(
      product_of({row_of("C1C", 4, 0, 900), row_of("C1W", 5, 0, 900)})));
  EXPECT_EQ(*biases.osb_s(kG03, {'1', 'C'}, false, kStart), 3 * 1e-9);
  EXPECT_EQ(*biases.osb_s(kG03, {'1', 'W'}, false, kStart), 5 * 1e-9);
  BiasProduct relative = product_of({});
  relative.absolute = false;
  const auto added = biases.add(relative);
  ASSERT_FALSE(added);
  EXPECT_EQ(added.error().code, ErrorCode::kMixedInput);
}

TEST(CodePhaseBiases, ReferenceObservablesAreReadFromTheDescription) {
  BiasProduct product;
  product.description = {
      {"BIAS_MODE", "ABSOLUTE"},
      {"SATELLITE_CLOCK_REFERENCE_OBSERVABLES", "G  C1W  C2W"},
      {"SATELLITE_CLOCK_REFERENCE_OBSERVABLES", "E  C1C  C5Q"}};
  EXPECT_EQ(product.clock_reference(System::kGalileo),
            (std::vector<std::string>{"C1C", "C5Q"}));
  EXPECT_TRUE(product.clock_reference(System::kBeidou).empty());
  EXPECT_EQ(product.text_of("BIAS_MODE"), "ABSOLUTE");
  EXPECT_EQ(product.text_of("APC_MODEL"), "");
}

TEST(CodePhaseBiases, OnlyCodesAndPhasesAreSignals) {
  EXPECT_EQ(parse_bias_signal("C1W")->signal.text(), "1W");
  EXPECT_TRUE(parse_bias_signal("L5Q")->phase);
  for (const char* other : {"", "C1", "D1C", "C1WX", "C0C", "C1-", "P1"}) {
    EXPECT_FALSE(parse_bias_signal(other)) << other;
  }
}

}  // namespace
}  // namespace stillpoint
