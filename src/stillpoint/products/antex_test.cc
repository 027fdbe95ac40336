#include <gtest/gtest.h>

#include <numbers>
#include <string>

#include "stillpoint/products/antex_reader.h"
#include "stillpoint/products/antex_writer.h"
#include "stillpoint/products/product_test_support.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::products {
namespace {

constexpr double kDeg = std::numbers::pi / 180;

Result<AntennaProduct> read(const std::string& text,
                            AntexReaderOptions options = {}) {
  return read_antex(memory_stream(text, "made.atx"), std::move(options));
}

std::string write(const AntennaProduct& product) {
  TextSink sink;
  const auto written = write_antex(product, sink);
  EXPECT_TRUE(written) << written.error().text();
  return sink.text;
}

std::string head() {
  return labelled("     1.4            M", "ANTEX VERSION / SYST") +
         labelled("A", "PCV TYPE / REFANT") + labelled("made", "COMMENT") +
         labelled("", "END OF HEADER");
}

std::string satellite() {
  return labelled("", "START OF ANTENNA") +
         labelled("BLOCK DEMO          G07                 G999      2024-001A",
                  "TYPE / SERIAL NO") +
         labelled("                                             0    29-JAN-17",
                  "METH / BY / # / DATE") +
         labelled("     0.0", "DAZI") +
         labelled("     0.0   2.0   1.0", "ZEN1 / ZEN2 / DZEN") +
         labelled("     2", "# OF FREQUENCIES") +
         labelled("  2024    11    22     0     0    0.0000000", "VALID FROM") +
         labelled("  2024    11    23    23    59   59.9999999",
                  "VALID UNTIL") +
         labelled("IGS20_2417", "SINEX CODE") +
         labelled("   G01", "START OF FREQUENCY") +
         labelled("    279.00      0.00   2253.47", "NORTH / EAST / UP") +
         "   NOAZI   -0.80   -0.90    1.10\n" +
         labelled("   G01", "END OF FREQUENCY") +
         labelled("   G02", "START OF FREQUENCY") +
         labelled("    279.00      0.00   2253.47", "NORTH / EAST / UP") +
         "   NOAZI   -0.80-1000.90    1.10\n" +
         labelled("   G02", "END OF FREQUENCY") +
         labelled("", "END OF ANTENNA");
}

std::string receiver(const std::string& type = "SPDEMO-A1       NONE",
                     const std::string& rows =
                         "   NOAZI    0.00    0.50    1.00\n"
                         "     0.0    0.00    0.60    1.10\n"
                         "   180.0    0.00    0.40    0.90\n"
                         "   360.0    0.00    0.60    1.10\n") {
  return labelled("", "START OF ANTENNA") + labelled(type, "TYPE / SERIAL NO") +
         labelled("ROBOT               Larch Hollow             3    09-JUN-19",
                  "METH / BY / # / DATE") +
         labelled("   180.0", "DAZI") +
         labelled("     0.0  90.0  45.0", "ZEN1 / ZEN2 / DZEN") +
         labelled("     1", "# OF FREQUENCIES") +
         labelled("   R01", "START OF FREQUENCY") +
         labelled("     -0.05      0.95    160.96", "NORTH / EAST / UP") +
         rows + labelled("   R01", "END OF FREQUENCY") +
         labelled("   R01", "START OF FREQ RMS") +
         "   NOAZI    0.10    0.10    0.10\n" +
         labelled("   R01", "END OF FREQ RMS") + labelled("", "END OF ANTENNA");
}

TEST(Antex, SatellitesAndReceiversAreRead) {
  const auto product = read(head() + satellite() + receiver());
  ASSERT_TRUE(product) << product.error().text();
  EXPECT_EQ(product->version, 1.4);
  EXPECT_EQ(product->system, 'M');
  EXPECT_TRUE(product->absolute);
  EXPECT_EQ(product->comments, std::vector<std::string>{"made"});
  ASSERT_EQ(product->antennas.size(), 2U);
  const AntennaPattern& sat = product->antennas[0];
  EXPECT_EQ(sat.type, "BLOCK DEMO");
  EXPECT_EQ(sat.satellite->text(), "G07");
  EXPECT_EQ(sat.svn, "G999");
  EXPECT_EQ(sat.cospar, "2024-001A");
  EXPECT_EQ(sat.date, "29-JAN-17");
  EXPECT_EQ(sat.sinex_code, "IGS20_2417");
  EXPECT_EQ(format_gpst(*sat.valid_from), "2024-11-22T00:00:00");
  EXPECT_EQ(format_gpst(*sat.valid_until), "2024-11-23T23:59:59.9999999");
  ASSERT_EQ(sat.frequencies.size(), 2U);
  EXPECT_EQ(sat.frequencies[1].number, 2);
  EXPECT_EQ(sat.frequencies[0].offset_m,
            (AntennaVector{279.00 * 1e-3, 0, 2253.47 * 1e-3}));
  EXPECT_EQ(sat.frequencies[1].by_zenith_m,
            (std::vector<float>{-0.80e-3F, -1000.90e-3F, 1.10e-3F}));
  EXPECT_TRUE(sat.frequencies[0].by_azimuth_m.empty());

  const AntennaPattern& antenna = product->antennas[1];
  EXPECT_EQ(antenna.type, "SPDEMO-A1       NONE");
  EXPECT_FALSE(antenna.satellite);
  EXPECT_EQ(antenna.calibrated, 3);
  EXPECT_EQ(antenna.method, "ROBOT");
  EXPECT_EQ(antenna.agency, "Larch Hollow");
  EXPECT_EQ(antenna.zenith_step_rad, 45 * kDeg);
  const AntennaFrequency* const r01 = antenna.frequency(System::kGlonass, 1);
  ASSERT_NE(r01, nullptr);
  EXPECT_EQ(r01->by_azimuth_m.size(), 9U);
}

// kind: cross (by hand from the rows above)
// tolerance: 1e-9 m, floats of a millimetre
TEST(Antex, PatternIsEvaluatedAtTheRightPlace) {
  const auto product = read(head() + receiver());
  ASSERT_TRUE(product);
  const AntennaPattern& antenna = product->antennas[0];
  const AntennaFrequency& f = antenna.frequencies[0];
  EXPECT_NEAR(antenna.variation_m(f, 45 * kDeg, 0), 0.6e-3, 1e-9);
  EXPECT_NEAR(antenna.variation_m(f, 45 * kDeg, 90 * kDeg), 0.5e-3, 1e-9);
  EXPECT_NEAR(antenna.variation_m(f, 90 * kDeg, 180 * kDeg), 0.9e-3, 1e-9);
}

TEST(Antex, OnlyWhatIsAskedForIsKept) {
  const std::string text = head() + satellite() + receiver() +
                           receiver("SPDEMO-A1       DOME") +
                           receiver("SPDEMO-A2       NONE");
  AntexReaderOptions options;
  options.receiver_types = {{"SPDEMO-A1       DOME"}};
  auto product = read(text, options);
  ASSERT_TRUE(product);
  ASSERT_EQ(product->antennas.size(), 2U);
  EXPECT_EQ(product->antennas[1].type, "SPDEMO-A1       DOME");
  options.satellites = false;
  EXPECT_EQ(read(text, options)->antennas.size(), 1U);
  options.satellites = true;
  options.receiver_types = {std::vector<std::string>{}};
  options.satellites_at = parse_time("2024-11-23T12:00:00").value();
  EXPECT_EQ(read(text, options)->antennas.size(), 1U);
  options.satellites_at = parse_time("2024-11-24").value();
  EXPECT_EQ(read(text, options)->antennas.size(), 0U);
}

TEST(Antex, WhatIsWrittenIsReadBackAndWrittenAlike) {
  const auto first = read(head() + satellite() + receiver());
  ASSERT_TRUE(first);
  const std::string text = write(*first);
  const auto again = read(text);
  ASSERT_TRUE(again) << again.error().text() << "\n" << text;
  EXPECT_EQ(again->antennas, first->antennas);
  EXPECT_EQ(again->comments, first->comments);
  EXPECT_EQ(write(*again), text);
  EXPECT_EQ(text.find("FREQ RMS"), std::string::npos);
  // The columns are those of the text that was read.
  for (const char* line : {"    279.00      0.00   2253.47",
                           "   NOAZI   -0.80-1000.90    1.10\n",
                           "   180.0    0.00    0.40    0.90\n",
                           "  2024    11    23    23    59   59.9999999",
                           "     0.0  90.0  45.0"}) {
    EXPECT_NE(text.find(line), std::string::npos) << line << "\n" << text;
  }
}

TEST(Antex, WhatCannotBeWrittenIsRefused) {
  auto product = read(head() + satellite());
  ASSERT_TRUE(product);
  TextSink sink;
  product->antennas[0].frequencies[0].by_zenith_m.push_back(0);
  EXPECT_EQ(write_antex(*product, sink).error().code, ErrorCode::kOutOfRange);
  product->antennas[0].frequencies[0].by_zenith_m = {0, 0, 200};
  EXPECT_EQ(write_antex(*product, sink).error().code, ErrorCode::kOutOfRange);
}

TEST(Antex, DamageIsNamedByItsLine) {
  const auto replaced =
      [](std::string text, const std::string& what, const std::string& by) {
        text.replace(text.find(what), what.size(), by);
        return text;
      };
  struct Damage {
    std::string text;
    const char* where;
    ErrorCode code = ErrorCode::kBadFormat;
  };
  const std::string sat = satellite();
  const Damage damages[] = {
      {replaced(sat, "ZEN2 / DZEN", "ZEN2 / XZEN"), "made.atx:9"},
      {replaced(sat, "2.0   1.0", "2.0   0.7"), "made.atx:9"},
      {replaced(sat, "2024    11    22", "2024    13    22"), "made.atx:11"},
      {replaced(sat, "   G01", "   X01"), "made.atx:14"},
      {replaced(sat, "279.00", "27x.00"), "made.atx:15"},
      {replaced(sat, "   -0.90", "        "), "made.atx:16"},
      {replaced(sat, "    1.10", "    1.10    1.20"), "made.atx:16"},
      {replaced(sat, "   G02", "   G01"), "made.atx:18"},
      {replaced(sat, "BLOCK DEMO", "          "), "made.atx:6"},
      {receiver("SPDEMO-A1       NONE",
                "   NOAZI    0.00    0.50    1.00\n"
                "     0.0    0.00    0.60    1.10\n"
                "   360.0    0.00    0.60    1.10\n"),
       "made.atx:15"},
      {receiver("SPDEMO-A1       NONE", "   NOAZI    0.00    0.50    1.00\n"),
       "made.atx:14"},
      {"text\n", "made.atx:5"}};
  for (const Damage& damage : damages) {
    const auto product = read(head() + damage.text + sat);
    ASSERT_FALSE(product) << damage.text;
    EXPECT_EQ(product.error().code, damage.code) << damage.text;
    EXPECT_EQ(product.error().where, damage.where) << product.error().what;
  }
}

TEST(Antex, EveryCutInsideAnAntennaIsTold) {
  const std::string sat = satellite();
  // The first line up to its label is blank.
  for (std::size_t size = 62; size + 2 < sat.size(); size += 11) {
    const auto product = read(head() + sat.substr(0, size));
    EXPECT_FALSE(product) << size;
  }
  EXPECT_EQ(read(head() + sat.substr(0, sat.rfind("   G02"))).error().code,
            ErrorCode::kTruncated);
  EXPECT_TRUE(read(head() + sat.substr(0, sat.size() - 1)));
}

TEST(Antex, OtherFilesAreRefusedByTheirHeader) {
  const auto code = [](const std::string& text) {
    const auto product = read(text);
    EXPECT_FALSE(product);
    EXPECT_TRUE(product.error().where.starts_with("made.atx:"));
    return product.error().code;
  };
  EXPECT_EQ(code(""), ErrorCode::kTruncated);
  EXPECT_EQ(code("text\n"), ErrorCode::kBadHeader);
  EXPECT_EQ(code(labelled("     2.0            M", "ANTEX VERSION / SYST")),
            ErrorCode::kUnsupported);
  const std::string first =
      labelled("     1.4            M", "ANTEX VERSION / SYST");
  EXPECT_EQ(code(first + labelled("X", "PCV TYPE / REFANT")),
            ErrorCode::kBadHeader);
  EXPECT_EQ(code(first + labelled("", "END OF HEADER")), ErrorCode::kBadHeader);
}

}  // namespace
}  // namespace stillpoint::products
