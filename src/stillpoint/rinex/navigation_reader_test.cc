#include "stillpoint/rinex/navigation_reader.h"

#include <gtest/gtest.h>

#include "stillpoint/gnss/broadcast.h"
#include "stillpoint/rinex/navigation_test_files.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::rinex {
namespace {

Result<NavigationFile> parse(const std::string& text) {
  return read_navigation(memory_stream(text, "file.nav"));
}

GnssTime gpst(int year, int month, int day, int hour, int minute, double s) {
  return *from_calendar({year, month, day, hour, minute, s}, TimeScale::kGps);
}

std::string replaced(std::string text,
                     const std::string& from,
                     const std::string& to) {
  const std::size_t at = text.find(from);
  EXPECT_NE(at, text.npos) << from;
  return at == text.npos ? text : text.replace(at, from.size(), to);
}

// kind: cross
// source: the numbers written into the text of navigation_test_files.h; times
// by the calendar. Here and in the tests of the other versions below.
// tolerance: exact, the same decimal number read twice
TEST(NavigationReader, Version2GpsWithBlanksAndOldExponents) {
  const auto file = parse(test::version2_gps());
  ASSERT_TRUE(file) << file.error().text();
  EXPECT_EQ(file->version, 2.11);
  EXPECT_EQ(file->problem_count, 0U);
  EXPECT_EQ(file->data.leap_seconds, 13);
  ASSERT_TRUE(file->data.ionosphere.gps);
  EXPECT_DOUBLE_EQ(file->data.ionosphere.gps->alpha[2], -0.1192e-6);
  EXPECT_DOUBLE_EQ(file->data.ionosphere.gps->beta[0], 0.9626e5);
  ASSERT_EQ(file->data.kepler.size(), 1U);
  const KeplerEphemeris& e = file->data.kepler[0];
  EXPECT_EQ(e.sat, (SatId{System::kGps, 7}));
  EXPECT_EQ(e.message, NavMessage::kLnav);
  EXPECT_EQ(e.toe, gpst(2005, 11, 20, 2, 0, 0));
  EXPECT_EQ(e.toc, e.toe);
  EXPECT_FALSE(e.transmitted);
  EXPECT_DOUBLE_EQ(e.af1_s_per_s, -2.5e-12);
  EXPECT_EQ(e.af2_s_per_s2, 0);
  EXPECT_DOUBLE_EQ(e.sqrt_a_sqrt_m, 5153.7);
  EXPECT_DOUBLE_EQ(e.group_delay_s[0], -1.1e-8);
  EXPECT_EQ(e.iode, 47);
  EXPECT_EQ(e.iodc, 47);
  EXPECT_EQ(e.accuracy_m, 2.0);
}

TEST(NavigationReader, Version2GlonassTimesAreUtc) {
  const auto file = parse(test::version2_glonass());
  ASSERT_TRUE(file) << file.error().text();
  ASSERT_EQ(file->data.state.size(), 1U);
  const StateEphemeris& e = file->data.state[0];
  EXPECT_EQ(e.sat, (SatId{System::kGlonass, 3}));
  // 13 leap seconds in 2005; 00:15 UTC is 03:15 Moscow time: tb 13.
  EXPECT_EQ(e.toe, gpst(2005, 11, 20, 0, 15, 13));
  EXPECT_EQ(e.transmitted, gpst(2005, 11, 20, 0, 14, 43));
  EXPECT_EQ(e.issue, 13);
  EXPECT_EQ(e.channel, -4);
  EXPECT_DOUBLE_EQ(e.position_m.x_m, 10908942.38281);
  EXPECT_DOUBLE_EQ(e.velocity_mps.y_m, 2795.855522156);
  EXPECT_DOUBLE_EQ(e.acceleration_mps2.x_m, -1.862645149231e-06);
  EXPECT_DOUBLE_EQ(e.clock_s, 5e-5);
  EXPECT_FALSE(is_present(e.l2_minus_l1_s));
}

TEST(NavigationReader, Version2Sbas) {
  const auto file = parse(test::version2_sbas());
  ASSERT_TRUE(file) << file.error().text();
  ASSERT_EQ(file->data.state.size(), 1U);
  const StateEphemeris& e = file->data.state[0];
  EXPECT_EQ(e.sat, (SatId{System::kSbas, 23}));
  EXPECT_EQ(e.message, NavMessage::kSbas);
  EXPECT_EQ(e.toe, gpst(2005, 11, 20, 0, 0, 16));
  EXPECT_EQ(e.accuracy_m, 4.0);
  EXPECT_EQ(e.issue, 92);
}

TEST(NavigationReader, Version3AroundTheEndOfAWeek) {
  const auto file = parse(test::version3_mixed());
  ASSERT_TRUE(file) << file.error().text();
  EXPECT_EQ(file->problem_count, 0U);
  EXPECT_EQ(file->data.leap_seconds, 18);
  ASSERT_EQ(file->data.kepler.size(), 2U);
  const KeplerEphemeris& e = file->data.kepler[0];
  EXPECT_EQ(e.message, NavMessage::kFnav);
  EXPECT_EQ(e.toe, gpst(2024, 11, 23, 23, 50, 0));
  EXPECT_EQ(e.transmitted, gpst(2024, 11, 23, 23, 56, 40));
  EXPECT_FALSE(is_present(e.group_delay_s[1]));
  EXPECT_EQ(e.data_sources, 258U);
  const KeplerEphemeris& c = file->data.kepler[1];
  EXPECT_EQ(c.message, NavMessage::kD1);
  EXPECT_EQ(c.toe, gpst(2024, 11, 24, 0, 0, 14));
  // Sent 36 s before the week began, said with a negative number.
  EXPECT_EQ(c.transmitted, gpst(2024, 11, 23, 23, 59, 38));
  EXPECT_DOUBLE_EQ(c.group_delay_s[1], -9.3e-9);
  ASSERT_EQ(file->data.state.size(), 1U);
  const StateEphemeris& r = file->data.state[0];
  EXPECT_EQ(r.toe, gpst(2024, 11, 23, 23, 45, 18));
  EXPECT_EQ(r.transmitted, gpst(2024, 11, 23, 23, 45, 18));
  EXPECT_DOUBLE_EQ(r.l2_minus_l1_s, 8.381903171539e-09);
  EXPECT_EQ(r.accuracy_m, 2.5);
  EXPECT_TRUE(is_healthy(r));
  // Of BeiDou's two alphas only one has its beta.
  ASSERT_TRUE(file->data.ionosphere.beidou);
  EXPECT_DOUBLE_EQ(file->data.ionosphere.beidou->alpha[0], 1.2e-8);
  EXPECT_DOUBLE_EQ(file->data.ionosphere.beidou->beta[0], 1.2e5);
  EXPECT_DOUBLE_EQ((*file->data.ionosphere.galileo)[2], 1.0071e-2);
  EXPECT_FALSE(file->data.ionosphere.qzss);
}

TEST(NavigationReader, GlonassFlagsAndUnknownDelay) {
  std::string text = replaced(
      test::version3_mixed(), " 8.381903171539E-09", "  .999999999999E+09");
  text = replaced(text,
                  " 2.000000000000E+00 3.000000000000E+00\n",
                  " 1.500000000000E+01 4.000000000000E+00\n");
  const auto file = parse(text);
  ASSERT_TRUE(file);
  const StateEphemeris& r = file->data.state.at(0);
  EXPECT_FALSE(is_present(r.l2_minus_l1_s));
  EXPECT_FALSE(is_present(r.accuracy_m));
  EXPECT_FALSE(is_healthy(r));
}

TEST(NavigationReader, Version4RecordsAndWhatIsNotUsed) {
  const auto file = parse(test::version4_mixed());
  ASSERT_TRUE(file) << file.error().text();
  EXPECT_EQ(file->problem_count, 0U);
  EXPECT_EQ(file->skipped, 3U);  // STO, BDGIM, L1NV
  ASSERT_EQ(file->data.kepler.size(), 1U);
  const KeplerEphemeris& e = file->data.kepler[0];
  EXPECT_EQ(e.message, NavMessage::kCnav);
  EXPECT_EQ(e.toe, gpst(2024, 11, 23, 1, 30, 0));
  EXPECT_EQ(e.toe, e.toc);
  EXPECT_DOUBLE_EQ(e.a_dot_m_per_s, 0.01);
  EXPECT_DOUBLE_EQ(e.delta_n_dot_rad_per_s2, -1e-13);
  EXPECT_DOUBLE_EQ(e.isc_s[1], -2.5e-9);
  EXPECT_FALSE(is_present(e.isc_s[3]));
  // Indices -1 and -6: 1.41 m and 0.25 m.
  EXPECT_NEAR(e.accuracy_m, 1.436, 1e-3);
  EXPECT_EQ(e.transmitted, gpst(2024, 11, 23, 1, 30, 6));
  EXPECT_TRUE(is_healthy(e));
  // The set nearest to the ephemerides' time.
  EXPECT_DOUBLE_EQ(file->data.ionosphere.gps->alpha[0], 1.2e-8);
  EXPECT_DOUBLE_EQ(file->data.ionosphere.gps->alpha[3], 3e-8);
  EXPECT_DOUBLE_EQ(file->data.ionosphere.gps->beta[3], 4e5);
  EXPECT_DOUBLE_EQ((*file->data.ionosphere.galileo)[0], 160);
}

TEST(NavigationReader, LineEndsAndBlankLinesDoNotMatter) {
  std::string text = test::version3_mixed();
  std::string dos;
  for (const char c : text) {
    dos += c == '\n' ? std::string("\r\n") : std::string(1, c);
  }
  dos += "\r\n   \r\n";
  const auto file = parse(dos);
  ASSERT_TRUE(file);
  EXPECT_EQ(file->problem_count, 0U);
  EXPECT_EQ(file->data.kepler.size(), 2U);
  EXPECT_EQ(file->data.state.size(), 1U);
}

TEST(NavigationReader, DamagedNumberCostsItsRecordOnly) {
  const auto file = parse(replaced(
      test::version3_mixed(), " 5.153700000000E+03", " 5.1537000x0000E+03"));
  ASSERT_TRUE(file);
  ASSERT_EQ(file->problems.size(), 1U);
  EXPECT_EQ(file->problems[0].where, "file.nav:10");
  EXPECT_EQ(file->problems[0].what,
            "E05: ' 5.1537000x0000E+03' is not a number (line 3 of the "
            "record)");
  EXPECT_EQ(file->data.kepler.size(), 1U);
  EXPECT_EQ(file->data.state.size(), 1U);
}

TEST(NavigationReader, DamagedFirstLineCostsItsRecordOnly) {
  // Without its first line the record's other lines hang on to the one before.
  const auto file =
      parse(replaced(test::version3_mixed(), "C08 2024", "    2024"));
  ASSERT_TRUE(file);
  ASSERT_EQ(file->problems.size(), 1U);
  EXPECT_EQ(file->problems[0].where, "file.nav:18");
  ASSERT_EQ(file->data.kepler.size(), 1U);
  EXPECT_EQ(file->data.kepler[0].sat.system, System::kGalileo);
  EXPECT_EQ(file->data.state.size(), 1U);
  const auto other =
      parse(replaced(test::version3_mixed(), "C08 2024", "X08 2024"));
  ASSERT_TRUE(other);
  EXPECT_EQ(other->problems.at(0).what, "'X08' is not a satellite");
  EXPECT_EQ(other->data.kepler.size(), 1U);
}

TEST(NavigationReader, ImpossibleValuesAreProblems) {
  for (const auto& [from, to] : {
           std::pair{" 1.100000000000E-02", " 1.100000000000E+02"},
           std::pair{" 5.153700000000E+03", "                   "},
           std::pair{" 6.042000000000E+05", " 9.042000000000E+05"},
           std::pair{"2024 11 23 23 50", "2024 11 31 23 50"},
       }) {
    const auto file = parse(replaced(test::version3_mixed(), from, to));
    ASSERT_TRUE(file);
    EXPECT_EQ(file->problem_count, 1U) << to;
    EXPECT_EQ(file->data.kepler.size(), 1U) << to;
  }
}

TEST(NavigationReader, HeadAndRecordMustAgree) {
  const auto file = parse(
      replaced(test::version4_mixed(), "> EPH G03 CNAV", "> EPH G04 CNAV"));
  ASSERT_TRUE(file);
  EXPECT_EQ(file->problems.at(0).what,
            "'> EPH G04 CNAV' stands above a record of G03");
  const auto odd = parse(
      replaced(test::version4_mixed(), "> EPH G03 CNAV", "> XXX G03 CNAV"));
  ASSERT_TRUE(odd);
  EXPECT_EQ(odd->problem_count, 1U);
}

TEST(NavigationReader, HeaderErrorsHaveCodeAndPlace) {
  const auto code = [](const std::string& text) {
    const auto file = parse(text);
    EXPECT_FALSE(file);
    return file ? ErrorCode::kInternal : file.error().code;
  };
  EXPECT_EQ(code(""), ErrorCode::kTruncated);
  EXPECT_EQ(code("garbage\n"), ErrorCode::kBadHeader);
  EXPECT_EQ(code(test::header("     5.00           NAVIGATION DATA")),
            ErrorCode::kUnsupported);
  EXPECT_EQ(code(test::header("     3.04           OBSERVATION DATA")),
            ErrorCode::kBadHeader);
  EXPECT_EQ(code(test::header("     2.11           M: METEOROLOGICAL DATA")),
            ErrorCode::kBadHeader);
  const auto file =
      parse(test::header_line("     3.04           N", "RINEX VERSION / TYPE"));
  EXPECT_EQ(file.error().code, ErrorCode::kTruncated);
  EXPECT_EQ(file.error().where.rfind("file.nav:", 0), 0U);
}

TEST(NavigationReader, UnreadableHeaderLinesAreProblems) {
  const auto file = parse(test::header(
      "     3.04           N",
      test::header_line("GPSA   4.65x6e-09  1.4901e-08", "IONOSPHERIC CORR") +
          test::header_line("   xx", "LEAP SECONDS")));
  ASSERT_TRUE(file);
  EXPECT_EQ(file->problem_count, 2U);
  EXPECT_EQ(file->problems[1].where, "file.nav:3");
}

// A set that is there must be the set of the whole file: nothing invented.
bool same_set(const KeplerEphemeris& a, const KeplerEphemeris& b) {
  return a.sat == b.sat && a.toe == b.toe && a.toc == b.toc &&
         a.af0_s == b.af0_s && a.m0_rad == b.m0_rad &&
         a.sqrt_a_sqrt_m == b.sqrt_a_sqrt_m && a.i0_rad == b.i0_rad &&
         a.omega_dot_rad_per_s == b.omega_dot_rad_per_s &&
         a.group_delay_s[0] == b.group_delay_s[0] &&
         (!a.transmitted || a.transmitted == b.transmitted);
}

bool same_set(const StateEphemeris& a, const StateEphemeris& b) {
  return a.sat == b.sat && a.toe == b.toe && a.clock_s == b.clock_s &&
         norm(a.position_m - b.position_m) == 0 &&
         norm(a.velocity_mps - b.velocity_mps) == 0 && a.channel == b.channel &&
         (!is_present(a.l2_minus_l1_s) || a.l2_minus_l1_s == b.l2_minus_l1_s);
}

TEST(NavigationReader, TruncationAtEveryByteInventsNothing) {
  for (const std::string& text : {test::version2_gps(),
                                  test::version2_glonass(),
                                  test::version2_sbas(),
                                  test::version3_mixed(),
                                  test::version4_mixed()}) {
    const auto whole = parse(text);
    ASSERT_TRUE(whole);
    for (std::size_t n = 0; n < text.size(); ++n) {
      const auto part = parse(text.substr(0, n));
      if (!part) {
        continue;
      }
      ASSERT_LE(part->data.kepler.size(), whole->data.kepler.size());
      for (std::size_t i = 0; i < part->data.kepler.size(); ++i) {
        ASSERT_TRUE(same_set(part->data.kepler[i], whole->data.kepler[i]))
            << text.substr(0, n);
      }
      ASSERT_LE(part->data.state.size(), whole->data.state.size());
      for (std::size_t i = 0; i < part->data.state.size(); ++i) {
        ASSERT_TRUE(same_set(part->data.state[i], whole->data.state[i]))
            << text.substr(0, n);
      }
    }
  }
}

TEST(NavigationReader, TruncatedLastRecordIsReported) {
  const std::string text = test::version3_mixed();
  // Inside the last number of the last whole record but one line.
  const auto file =
      parse(text.substr(0, text.find("-2.793967723846E-09") + 12));
  ASSERT_TRUE(file);
  EXPECT_TRUE(file->data.state.empty());
  ASSERT_EQ(file->problems.size(), 1U);
  EXPECT_EQ(file->problems[0].what, "R03: the file ends inside a number");
}

TEST(NavigationReader, TooManyRecordsEnd) {
  std::string text = test::header("     4.00           NAVIGATION DATA     M");
  for (int i = 0; i < 200'001; ++i) {
    text += "> EOP G03 CNVX\n";
  }
  const auto file = parse(text);
  ASSERT_FALSE(file);
  EXPECT_EQ(file.error().code, ErrorCode::kTooLarge);
}

TEST(NavigationReader, ProblemsAreCountedBeyondTheKeptOnes) {
  std::string text = test::header("     3.04           N: GNSS NAV DATA");
  for (int i = 0; i < 1500; ++i) {
    text += "G01 damaged\n";
  }
  const auto file = parse(text);
  ASSERT_TRUE(file);
  EXPECT_EQ(file->problem_count, 1500U);
  EXPECT_EQ(file->problems.size(), ObservationReader::kMaxProblems);
}

}  // namespace
}  // namespace stillpoint::rinex
