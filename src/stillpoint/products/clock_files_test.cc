#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "stillpoint/products/clock_reader.h"
#include "stillpoint/products/clock_writer.h"
#include "stillpoint/products/product_test_support.h"

namespace stillpoint::products {
namespace {

Result<ClockProduct> read(const std::string& text,
                          ClockReaderOptions options = {}) {
  return read_clocks(memory_stream(text, "made.clk"), options);
}

std::string write(const ClockProduct& product) {
  TextSink sink;
  const auto written = write_clocks(product, sink);
  EXPECT_TRUE(written) << written.error().text();
  return sink.text;
}

// Version 3.00: labels in column 60, names of four letters.
std::string head(const std::string& scale = "GPS") {
  return labelled("     3.00           C                   M",
                  "RINEX VERSION / TYPE") +
         labelled("made", "PGM / RUN BY / DATE") +
         labelled("WL G07  2024 11 23 12  0  0.000000  1   -0.110300E+01  0102",
                  "COMMENT") +
         labelled("WL of no form", "COMMENT") +
         labelled("   " + scale, "TIME SYSTEM ID") +
         labelled("    18", "LEAP SECONDS") +
         labelled("G PROG              made.bia", "SYS / DCBS APPLIED") +
         labelled("E                   made.atx", "SYS / PCVS APPLIED") +
         labelled("     2    AR    AS", "# / TYPES OF DATA") +
         labelled("LHO  Larch Hollow", "ANALYSIS CENTER") +
         labelled(
             "LHOL 00000M000                          "
             " 0.100000000000E-08",
             "ANALYSIS CLK REF") +
         labelled("     1    IGS20", "# OF SOLN STA / TRF") +
         labelled(
             "LHOL 00000M000            4280000000   670000000"
             "  4660000001",
             "SOLN STA NAME / NUM") +
         labelled("", "END OF HEADER");
}

const char* const kRecords =
    "AR LHOL 2024 11 23  0  0  0.000000  1    0.100000000000E-08\n"
    "AS G07  2024 11 23  0  0  0.000000  2   -0.884707516318E-03"
    "  0.337986288247E-10\n"
    "AS E11  2024 11 23  0  0  0.000000  1    0.142763415563E-03\n"
    "AS L51  2024 11 23  0  0  0.000000  1    0.142763415563E-03\n"
    "AS G07  2024 11 23  0  0 30.000000  6   -0.884707516319D-03"
    "  0.337986288247E-10\n"
    "    .100000000000E-11  0.200000000000E-12  0.300000000000E-15"
    "  0.400000000000E-16\n";

TEST(ClockFiles, HeaderAndRecordsAreRead) {
  const auto product = read(head() + kRecords);
  ASSERT_TRUE(product) << product.error().text();
  EXPECT_EQ(product->version, 3.00);
  EXPECT_EQ(product->program, "made");
  EXPECT_EQ(product->leap_seconds, 18);
  EXPECT_EQ(
      product->code_biases,
      (std::vector<AppliedCorrection>{{System::kGps, "PROG", "made.bia"}}));
  EXPECT_EQ(
      product->phase_centres,
      (std::vector<AppliedCorrection>{{System::kGalileo, "", "made.atx"}}));
  EXPECT_EQ(product->analysis_centre, "LHO");
  EXPECT_EQ(product->analysis_name, "Larch Hollow");
  EXPECT_EQ(product->frame_label, "IGS20");
  EXPECT_EQ(product->references,
            (std::vector<ReferenceClock>{{"LHOL", "00000M000", 1e-9}}));
  ASSERT_EQ(product->stations.size(), 1U);
  EXPECT_EQ(product->stations[0].position_m.z_m, 4660000.001);
  EXPECT_EQ(product->comments, std::vector<std::string>{"WL of no form"});
  ASSERT_EQ(product->wide_lane.size(), 1U);
  const WideLaneBias& wide = product->wide_lane[0];
  EXPECT_EQ(wide.sat.text(), "G07");
  EXPECT_EQ(wide.bias_cyc, -1.103);
  EXPECT_EQ(wide.first_band, '1');
  EXPECT_EQ(wide.second_band, '2');
  EXPECT_EQ(format_gpst(wide.at), "2024-11-23T12:00:00");
  EXPECT_EQ(product->records_left_out, 1U);

  ASSERT_EQ(product->series.size(), 3U);
  ASSERT_EQ(product->epochs.size(), 2U);
  EXPECT_EQ(format_gpst(product->epochs[1]), "2024-11-23T00:00:30");
  const ClockSeries& g07 = product->series[0];
  EXPECT_EQ(g07.name, "G07");
  ASSERT_EQ(g07.samples.size(), 2U);
  EXPECT_EQ(g07.samples[0].clock_s, -0.884707516318e-3);
  EXPECT_EQ(g07.samples[0].sigma_s, 0.337986288247e-10F);
  EXPECT_EQ(g07.samples[1].clock_s, -0.884707516319e-3);
  EXPECT_EQ(g07.samples[1].epoch, 1U);
  ASSERT_EQ(g07.rates.size(), 1U);
  EXPECT_EQ(g07.rates[0].sample, 1U);
  EXPECT_EQ(g07.rates[0].rate, 1e-12);
  EXPECT_EQ(g07.rates[0].acceleration_sigma_per_s, 4e-17);
  EXPECT_EQ(product->series[1].name, "E11");
  EXPECT_TRUE(std::isnan(product->series[1].samples[0].sigma_s));
  EXPECT_EQ(product->series[2].name, "LHOL");
  EXPECT_FALSE(product->series[2].satellite);
}

TEST(ClockFiles, StationsCanBeLeftOut) {
  const auto product = read(head() + kRecords, {.stations = false});
  ASSERT_TRUE(product) << product.error().text();
  EXPECT_EQ(product->series.size(), 2U);
  EXPECT_EQ(product->records_left_out, 2U);
}

// A block of stations before the satellites, at other epochs.
TEST(ClockFiles, EpochsOutOfOrderAreSorted) {
  const auto product =
      read(head() +
           "AR LHOL 2024 11 23  0  5  0.000000  1    0.100000000000E-08\n"
           "AS G07  2024 11 23  0  0  0.000000  1   -0.884707516318E-03\n"
           "AS G07  2024 11 23  0  5  0.000000  1   -0.884707516318E-03\n");
  ASSERT_TRUE(product) << product.error().text();
  ASSERT_EQ(product->epochs.size(), 2U);
  EXPECT_LT(product->epochs[0], product->epochs[1]);
  EXPECT_EQ(product->series[0].samples[0].epoch, 0U);
  EXPECT_EQ(product->series[0].samples[1].epoch, 1U);
  EXPECT_EQ(product->series[1].samples[0].epoch, 1U);
}

TEST(ClockFiles, WhatIsWrittenIsReadBackAndWrittenAlike) {
  for (const char* scale : {"GPS", "BDT", "UTC"}) {
    const auto first = read(head(scale) + kRecords);
    ASSERT_TRUE(first) << first.error().text();
    const std::string text = write(*first);
    const auto again = read(text);
    ASSERT_TRUE(again) << again.error().text() << "\n" << text;
    EXPECT_EQ(write(*again), text);
    EXPECT_EQ(again->version, 3.04);
    EXPECT_EQ(again->scale, first->scale);
    EXPECT_EQ(again->epochs, first->epochs);
    EXPECT_EQ(again->wide_lane, first->wide_lane);
    EXPECT_EQ(again->comments, first->comments);
    EXPECT_EQ(again->code_biases, first->code_biases);
    EXPECT_EQ(again->phase_centres, first->phase_centres);
    EXPECT_EQ(again->references, first->references);
    EXPECT_EQ(again->analysis_name, first->analysis_name);
    EXPECT_EQ(again->series[0].samples[1].clock_s,
              first->series[0].samples[1].clock_s);
    EXPECT_EQ(again->series[0].rates[0].rate_sigma,
              first->series[0].rates[0].rate_sigma);
  }
}

// Sigmas have seven good digits.
TEST(ClockFiles, LongNamesStandInTheColumnsOfVersion304) {
  auto product = read(head() + kRecords);
  ASSERT_TRUE(product);
  product->series[2].name = "LHOL00XXX";
  const std::string text = write(*product);
  EXPECT_NE(text.find("AR LHOL00XXX 2024 11 23  0  0  0.000000  1"
                      "    0.100000000000E-08\n"),
            std::string::npos)
      << text;
  EXPECT_NE(text.find("AS G07       2024 11 23  0  0  0.000000  2"
                      "   -0.884707516318E-03   0.337986270915E-10\n"),
            std::string::npos)
      << text;
  const auto again = read(text);
  ASSERT_TRUE(again) << again.error().text();
  EXPECT_EQ(again->series[2].name, "LHOL00XXX");
}

TEST(ClockFiles, WhatCannotBeWrittenIsRefused) {
  auto product = read(head() + kRecords);
  ASSERT_TRUE(product);
  TextSink sink;
  product->series[2].name = "LHOL00XXX0";
  EXPECT_EQ(write_clocks(*product, sink).error().code, ErrorCode::kOutOfRange);
  product->series[2].name = "LHOL";
  product->series[0].samples[0].clock_s = std::nan("");
  EXPECT_EQ(write_clocks(*product, sink).error().code, ErrorCode::kOutOfRange);
  EXPECT_EQ(write_clocks(ClockProduct(), sink).error().code,
            ErrorCode::kNoData);
}

struct Damage {
  const char* text;
  ErrorCode code;
};

TEST(ClockFiles, DamagedRecordsAreNamedByTheirLine) {
  const std::string good =
      "AS E12  2024 11 23  0  0  0.000000  1    0.142763415563E-03\n";
  const Damage damages[] = {
      {"AS G09  2024 13 23  0  0  0.000000  1    0.142763415563E-03\n",
       ErrorCode::kBadFormat},
      {"AS G09  2024 11 23  0  x  0.000000  1    0.142763415563E-03\n",
       ErrorCode::kBadFormat},
      {"AS G09  2024 11 23  0  0  0.000000  7    0.142763415563E-03\n",
       ErrorCode::kBadFormat},
      {"AS G09  2024 11 23  0  0  0.000000  2    0.142763415563E-03\n",
       ErrorCode::kBadFormat},
      {"AS G09  2024 11 23  0  0  0.000000  1    0.142763415563\n",
       ErrorCode::kBadFormat},
      {"AS G09  2024 11 23  0  0  0.000000  1    0.142763415563E-3\n",
       ErrorCode::kBadFormat},
      {"AS G09  2024 11 23  0  0  0.000000  1    0.142763415563E-03 1\n",
       ErrorCode::kBadFormat},
      {"AS G07  2024 11 23  0  0  0.000000  1    0.142763415563E-03\n",
       ErrorCode::kBadFormat},
      {"AR      2024 11 23  0  0  0.000000  1    0.142763415563E-03\n",
       ErrorCode::kBadFormat},
      {"XX G09  2024 11 23  0  0  0.000000  1    0.142763415563E-03\n",
       ErrorCode::kBadFormat}};
  for (const Damage& damage : damages) {
    const auto product = read(head() + kRecords + damage.text + good);
    ASSERT_FALSE(product) << damage.text;
    EXPECT_EQ(product.error().code, damage.code) << damage.text;
    EXPECT_EQ(product.error().where, "made.clk:21") << damage.text;
  }
}

// A cut anywhere within a record is told, never a number that was shortened.
TEST(ClockFiles, EveryCutInsideARecordIsTold) {
  const std::string whole = head() + kRecords;
  const std::string record =
      "AS E12  2024 11 23  0  0  0.000000  1    0.142763415563E-03";
  for (std::size_t size = 1; size < record.size(); ++size) {
    const auto product = read(whole + record.substr(0, size));
    ASSERT_FALSE(product) << size;
    EXPECT_EQ(product.error().code, ErrorCode::kTruncated) << size;
    EXPECT_EQ(product.error().where, "made.clk:21") << size;
  }
  EXPECT_TRUE(read(whole + record));
  const auto in_head = read(head().substr(0, 200));
  ASSERT_FALSE(in_head);
  EXPECT_EQ(in_head.error().code, ErrorCode::kTruncated);
}

TEST(ClockFiles, OtherFilesAreRefusedByTheirFirstLine) {
  const std::string rest = labelled("", "END OF HEADER");
  const Damage firsts[] = {
      {"     3.05           OBSERVATION DATA    M", ErrorCode::kBadHeader},
      {"     9.00           C                   M", ErrorCode::kUnsupported},
      {"     x.00           C                   M", ErrorCode::kBadHeader}};
  for (const Damage& first : firsts) {
    const auto product =
        read(labelled(first.text, "RINEX VERSION / TYPE") + rest);
    ASSERT_FALSE(product) << first.text;
    EXPECT_EQ(product.error().code, first.code) << first.text;
    EXPECT_EQ(product.error().where, "made.clk:1");
  }
  EXPECT_EQ(read("").error().code, ErrorCode::kTruncated);
  EXPECT_EQ(read("anything\n").error().code, ErrorCode::kBadHeader);
  EXPECT_EQ(read(head("XXX")).error().where, "made.clk:5");
}

}  // namespace
}  // namespace stillpoint::products
