#include "stillpoint/products/sp3.h"

#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "stillpoint/time/scales.h"

namespace stillpoint::products {
namespace {

// An invented file: two epochs, three satellites of ours and one LEO.
std::string sample(const std::string& scale = "GPS") {
  return "#dP2024 11 23  0  0  0.00000000       2 ORBIT IGS20 FIT LHOL\n"
         "## 2341 518400.00000000   900.00000000 60637 0.0000000000000\n"
         "+    4   G01R02J03L04  0  0  0  0  0  0  0  0  0  0  0  0  0\n"
         "++         2  2  2  0  0  0  0  0  0  0  0  0  0  0  0  0  0\n"
         "%c M  cc " +
         scale +
         " ccc cccc cccc cccc cccc ccccc ccccc ccccc ccccc\n"
         "%c cc cc ccc ccc cccc cccc cccc cccc ccccc ccccc ccccc ccccc\n"
         "%f  1.2500000  1.025000000  0.00000000000  0.000000000000000\n"
         "%i    0    0    0    0      0      0      0      0         0\n"
         "/* invented\n"
         "*  2024 11 23  0  0  0.00000000\n"
         "PG01  10000.000001 -20000.000002   3000.000003    123.456789\n"
         "EP  55   55   55     222  1234567 -1234567  1234567 -1234567\n"
         "PR02      0.000000      0.000000      0.000000    -50.000000\n"
         "VR02  10000.000001 -20000.000002   3000.000003    123.456789\n"
         "PJ03  10000.000001 -20000.000002   3000.000003 999999.999999\n"
         "PL04  10000.000001 -20000.000002   3000.000003    123.456789\n"
         "*  2024 11 23  0 15  0.00000000\n"
         "PG01  10000.100000 -20000.000000   3000.000000    123.400000"
         "               P  MP\n"
         "PR02  10000.000001 -20000.000002   3000.000003 -50.000000000"
         "              E\n"
         "PJ03  10000.000001 -20000.000002   3000.000003 999999.999999"
         "                   P\n"
         "EOF\n";
}

Result<PreciseProduct> read(const std::string& text,
                            const std::string& name = "made.sp3") {
  return read_sp3(memory_stream(text, name));
}

std::string with(std::string text,
                 const std::string& old_part,
                 const std::string& new_part) {
  const std::size_t at = text.find(old_part);
  EXPECT_NE(at, std::string::npos) << old_part;
  return text.replace(at, old_part.size(), new_part);
}

void expect_error(const std::string& text,
                  ErrorCode code,
                  const std::string& where,
                  const std::string& part_of_what) {
  const auto result = read(text);
  ASSERT_FALSE(result) << part_of_what;
  EXPECT_EQ(result.error().code, code) << result.error().text();
  EXPECT_EQ(result.error().where, where) << result.error().text();
  EXPECT_NE(result.error().what.find(part_of_what), std::string::npos)
      << result.error().text();
}

// kind: cross (the text above by eye)   tolerance: none but binary rounding
TEST(Sp3, ReadsValuesFlagsAndUnits) {
  const auto product = read(sample());
  ASSERT_TRUE(product) << product.error().text();
  EXPECT_EQ(product->source, "made.sp3");
  EXPECT_EQ(product->frame_label, "IGS20");
  EXPECT_EQ(product->agency, "LHOL");
  EXPECT_EQ(product->interval_s, 900);
  EXPECT_TRUE(product->centre_of_mass);
  ASSERT_EQ(product->epochs.size(), 2U);
  EXPECT_EQ(product->epochs[0].time, GnssTime::from_gps_week(2341, 518'400));
  ASSERT_EQ(product->epochs[0].samples.size(), 3U);
  const PreciseSample& g01 = product->epochs[0].samples[0];
  EXPECT_EQ(g01.sat.text(), "G01");
  EXPECT_NEAR(g01.position_m.x_m, 10'000'000.001, 1e-8);
  EXPECT_NEAR(g01.position_m.y_m, -20'000'000.002, 1e-8);
  EXPECT_NEAR(g01.position_m.z_m, 3'000'000.003, 1e-8);
  EXPECT_NEAR(g01.clock_s, 123.456789e-6, 1e-18);
  EXPECT_FALSE(g01.clock_event || g01.predicted || g01.manoeuvre);
  EXPECT_TRUE(std::isnan(product->epochs[0].samples[1].position_m.x_m));
  EXPECT_NEAR(product->epochs[0].samples[1].clock_s, -50e-6, 1e-18);
  EXPECT_TRUE(std::isnan(product->epochs[0].samples[2].clock_s));
  const auto& later = product->epochs[1].samples;
  ASSERT_EQ(later.size(), 3U);
  EXPECT_TRUE(later[0].predicted && later[0].manoeuvre);
  EXPECT_FALSE(later[0].clock_event);
  EXPECT_TRUE(later[1].clock_event);
  EXPECT_FALSE(later[1].predicted || later[1].manoeuvre);
  EXPECT_TRUE(later[2].predicted);
}

TEST(Sp3, ReadsVersionAWithBlankLetters) {
  const std::string text =
      "#aV2005  1 19  0  0   .00000000       1 DD+AD WGS84 FIT  LHO\n"
      "## 1306 259200.00000000   900.00000000 53389  .0000000000000\n"
      "+    2     1 12  0  0  0  0  0  0  0  0  0  0  0  0  0  0  0\n"
      "%c cc cc ccc ccc cccc cccc cccc cccc ccccc ccccc ccccc ccccc\n"
      "*  2005  1 19  0  0   .00000000      \n"
      "P  1 -14501.313430  17398.176193 -13659.636342    383.643518   \n"
      "V  1   3201.458571 -17434.602902 -25275.234305       .019005   \n"
      "P 12 -14501.313430  17398.176193 -13659.636342       .643518   \n"
      "EOF                     \n";
  const auto product = read(text, "lho13063.apc.gz");
  ASSERT_TRUE(product) << product.error().text();
  EXPECT_FALSE(product->centre_of_mass);
  EXPECT_EQ(product->agency, "LHO");
  ASSERT_EQ(product->epochs[0].samples.size(), 2U);
  EXPECT_EQ(product->epochs[0].samples[0].sat.text(), "G01");
  EXPECT_EQ(product->epochs[0].samples[1].sat.text(), "G12");
  EXPECT_NEAR(product->epochs[0].samples[1].clock_s, 0.643518e-6, 1e-18);
}

TEST(Sp3, PhaseCentreOrbitsAreKnownByName) {
  for (const char* name : {"a.apc", "d/a.apc.gz", "A.APC.Z", "x.apc.bz2"}) {
    EXPECT_TRUE(is_phase_centre_name(name)) << name;
  }
  for (const char* name : {"a.sp3",
                           "apc",
                           "a.apc.txt",
                           "apc.gz",
                           "a.sp3.gz",
                           "",
                           ".gz",
                           "d.apc/a.sp3"}) {
    EXPECT_FALSE(is_phase_centre_name(name)) << name;
  }
}

// kind: published   source: shared checks section 9 (BDT = GPST - 14 s,
// TAI = GPST + 19 s), IERS Bulletin C (GPST - UTC = 18 s in 2024)
// tolerance: none, whole seconds
TEST(Sp3, TimesOfEverySystemComeOutAsGpst) {
  const std::pair<const char*, double> rows[] = {{"GPS", 0},
                                                 {"ccc", 0},
                                                 {"GAL", 0},
                                                 {"QZS", 0},
                                                 {"BDT", 14},
                                                 {"TAI", -19},
                                                 {"UTC", 18},
                                                 {"GLO", 18}};
  for (const auto& [scale, later_s] : rows) {
    const auto product = read(sample(scale));
    ASSERT_TRUE(product) << scale;
    EXPECT_EQ(
        (product->epochs[0].time - GnssTime::from_gps_week(2341, 518'400)).s,
        later_s)
        << scale;
  }
  expect_error(sample("XYZ"), ErrorCode::kBadHeader, "made.sp3:5", "'XYZ'");
}

TEST(Sp3, WrongHeadsAreSaidWithLine) {
  expect_error("", ErrorCode::kTruncated, "made.sp3:0", "without its EOF");
  expect_error("hello\n", ErrorCode::kBadHeader, "made.sp3:1", "not an SP3");
  expect_error(with(sample(), "#dP", "#eP"),
               ErrorCode::kUnsupported,
               "made.sp3:1",
               "version 'e'");
  expect_error(with(sample(), "#dP", "#dX"),
               ErrorCode::kBadHeader,
               "made.sp3:1",
               "not an SP3");
  expect_error(with(sample(), "##", "#x"),
               ErrorCode::kBadHeader,
               "made.sp3:2",
               "interval");
  expect_error(with(sample(), "  900.00000000", "    0.00000000"),
               ErrorCode::kBadHeader,
               "made.sp3:2",
               "interval");
  expect_error(with(sample(), "  900.00000000", "     -nan(1)  "),
               ErrorCode::kBadHeader,
               "made.sp3:2",
               "interval");
}

TEST(Sp3, DamagedRecordsAreSaidWithLine) {
  expect_error(with(sample(), "-20000.000002", "-20000.0x0002"),
               ErrorCode::kBadFormat,
               "made.sp3:11",
               "coordinate of G01");
  expect_error(with(sample(), " 10000.000001", "          inf"),
               ErrorCode::kBadFormat,
               "made.sp3:11",
               "coordinate of G01");
  expect_error(with(sample(), "   123.456789", "  1 23.456789"),
               ErrorCode::kBadFormat,
               "made.sp3:11",
               "clock of G01");
  expect_error(with(sample(), "   123.456789\nEP", "   123.45\nEP"),
               ErrorCode::kBadFormat,
               "made.sp3:11",
               "clock of G01");
  expect_error(with(sample(), "   3000.000003    123.456789\nEP", "  30\nEP"),
               ErrorCode::kBadFormat,
               "made.sp3:11",
               "cut");
  expect_error(with(sample(), "PG01", "Pg01"),
               ErrorCode::kBadFormat,
               "made.sp3:11",
               "no satellite");
  expect_error(with(sample(), "PG01", "PG00"),
               ErrorCode::kBadFormat,
               "made.sp3:11",
               "no satellite");
  expect_error(with(sample(), "PJ03", "PG01"),
               ErrorCode::kBadFormat,
               "made.sp3:15",
               "G01 twice");
  expect_error(with(sample(), "*  2024 11 23  0 15", "*  2024 11 23  0 xx"),
               ErrorCode::kBadFormat,
               "made.sp3:17",
               "date and a time");
  expect_error(with(sample(), "*  2024 11 23  0 15", "*  2024 11 31  0 15"),
               ErrorCode::kBadFormat,
               "made.sp3:17",
               "no date");
  expect_error(with(sample(), "*  2024 11 23  0 15", "*  2024 11 23  0  0"),
               ErrorCode::kBadFormat,
               "made.sp3:17",
               "not later");
  expect_error(with(sample(), "/* inv", "?? inv"),
               ErrorCode::kBadFormat,
               "made.sp3:9",
               "no kind");
  expect_error(with(sample(), "*  2024 11 23  0  0", "PG01"),
               ErrorCode::kBadFormat,
               "made.sp3:10",
               "before the first epoch");
  expect_error(sample() + "PG01\n",
               ErrorCode::kBadFormat,
               "made.sp3:22",
               "after the EOF");
  EXPECT_TRUE(read(sample() + "\n \n"));
}

TEST(Sp3, WithoutTheEofLineTheLastCompleteEpochIsNamed) {
  expect_error(with(sample(), "EOF\n", ""),
               ErrorCode::kTruncated,
               "made.sp3:20",
               "the last complete epoch is 2024-11-23T00:00:00 GPST");
  const auto result = read(with(sample(), "EOF\n", ""));
  EXPECT_NE(result.error().remedy.find("Fetch"), std::string::npos);
}

// Whatever the place of the cut, a part is never taken for the whole.
TEST(Sp3, CutAtEveryByteIsAnError) {
  const std::string text = sample();
  for (std::size_t cut = 0; cut + 1 < text.size(); ++cut) {
    const auto result = read(text.substr(0, cut));
    EXPECT_EQ(result.has_value(), cut == text.size() - 1) << cut;
  }
}

}  // namespace
}  // namespace stillpoint::products
