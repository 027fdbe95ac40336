#include "stillpoint/rinex/observation_reader.h"

#include <gtest/gtest.h>

#include <string>

#include "stillpoint/rinex/observation_test_support.h"

namespace stillpoint::rinex {
namespace {

using test::find;
using test::header_line;
using test::read_text;

GnssTime gpst(int year, int month, int day, int hour, int minute, double s) {
  return *from_calendar({year, month, day, hour, minute, s}, TimeScale::kGps);
}

std::string version_line(const std::string& version, char system = 'M') {
  return header_line(
      "     " + version + "           OBSERVATION DATA    " + system,
      "RINEX VERSION / TYPE");
}

// A version 3 or 4 file with GPS C1C and L1C.
std::string file3(const std::string& body,
                  const std::string& more_header = {},
                  const std::string& version = "3.04") {
  return version_line(version) +
         header_line("G    2 C1C L1C", "SYS / # / OBS TYPES") +
         header_line("C    2 C1I L1I", "SYS / # / OBS TYPES") + more_header +
         header_line("", "END OF HEADER") + body;
}

constexpr const char* kEpoch3 =
    "> 2024  3  1  0  0  0.0000000  0  1\n"
    "G05  23439008.766   123172824.42316\n";

TEST(ObservationReader, Version3ValuesFlagsAndClock) {
  const auto got = read_text(test::small_file3());
  ASSERT_FALSE(got.error.has_value());
  ASSERT_EQ(got.epochs.size(), 3U);
  const Epoch& first = got.epochs[0];
  EXPECT_EQ(first.time, gpst(2024, 3, 1, 0, 0, 0));
  EXPECT_EQ(first.receiver_clock_s, 0.000123456789);
  const Observation* row = find(first, "G05", "1C");
  ASSERT_NE(row, nullptr);
  EXPECT_EQ(row->code_m, 23439008.766);
  EXPECT_EQ(row->phase_cyc, 123172824.423);
  EXPECT_EQ(row->cn0_dbhz, 40.9);
  EXPECT_FALSE(is_present(row->doppler_hz));
  EXPECT_EQ(row->lli, 1);
  EXPECT_EQ(row->phase_strength, 6);
  EXPECT_EQ(find(first, "G18", "2W"), nullptr);
  EXPECT_EQ(find(first, "R03", "1C")->doppler_hz, -1234.567);
  EXPECT_EQ(got.epochs[1].satellites.size(), 2U);
  EXPECT_EQ(got.epochs[2].flag, EpochFlag::kPowerFailure);
  EXPECT_FALSE(got.epochs[2].receiver_clock_s.has_value());
  EXPECT_EQ(find(got.epochs[2], "R03", "1C")->doppler_hz, -0.25);
}

TEST(ObservationReader, Version2LinesListsAndYears) {
  const auto got = read_text(test::small_file2());
  ASSERT_FALSE(got.error.has_value());
  ASSERT_EQ(got.epochs.size(), 3U);
  const Epoch& second = got.epochs[1];
  EXPECT_EQ(second.time, gpst(1998, 3, 1, 0, 0, 15));
  EXPECT_EQ(second.receiver_clock_s, 0.000100001);
  ASSERT_EQ(second.satellites.size(), 13U);
  const Observation* ca = find(second, "G03", "1C");
  ASSERT_NE(ca, nullptr);
  EXPECT_EQ(ca->code_m, 21002077.750);
  EXPECT_EQ(ca->lli, 1);
  EXPECT_EQ(ca->phase_strength, 3);
  EXPECT_EQ(ca->doppler_hz, -4.5);
  EXPECT_EQ(ca->cn0_dbhz, 42.0);
  EXPECT_EQ(find(second, "G03", "2W")->phase_strength, 7);
  EXPECT_EQ(find(second, "G04", "1W")->code_m, 21003079.375);  // "G 4"
  EXPECT_NE(find(second, "R02", "2P"), nullptr);
}

TEST(ObservationReader, TwoDigitYearsTurnAt80) {
  const auto year_of = [](const std::string& digits) {
    const auto got =
        read_text(version_line("2.10", 'G') +
                  header_line("     1    C1", "# / TYPES OF OBSERV") +
                  header_line("", "END OF HEADER") + " " + digits +
                  "  1  2  3  4  5.5000000  0  1  7\n  23439008.766\n");
    return got.epochs.empty()
               ? 0
               : to_calendar(got.epochs[0].time, TimeScale::kGps).year;
  };
  EXPECT_EQ(year_of("80"), 1980);
  EXPECT_EQ(year_of("99"), 1999);
  EXPECT_EQ(year_of("00"), 2000);
  EXPECT_EQ(year_of(" 5"), 2005);
  EXPECT_EQ(year_of("79"), 2079);
}

TEST(ObservationReader, BlankSystemLetterIsThatOfTheFile) {
  const auto got =
      read_text(version_line("2.11", 'R') +
                header_line("     1    C1", "# / TYPES OF OBSERV") +
                header_line("", "END OF HEADER") +
                " 05  1  2  3  4  5.0000000  0  2  7R12\n  23439008.766\n\n");
  ASSERT_EQ(got.epochs.size(), 1U);
  EXPECT_NE(find(got.epochs[0], "R07", "1C"), nullptr);
  EXPECT_EQ(got.epochs[0].satellites.size(), 1U);  // R12 measured nothing
  // GLONASS alone and no time system: UTC, 13 s behind GPST in 2005.
  // kind: published   source: IERS Bulletin C   tolerance: whole seconds
  EXPECT_EQ(got.epochs[0].time, gpst(2005, 1, 2, 3, 4, 18));
}

TEST(ObservationReader, TimeSystemOfTheFirstObservationRules) {
  const auto time_of = [](const std::string& scale) {
    const auto got = read_text(file3(
        kEpoch3,
        header_line("  2024     3     1     0     0    0.0000000     " + scale,
                    "TIME OF FIRST OBS")));
    return got.epochs.at(0).time - gpst(2024, 3, 1, 0, 0, 0);
  };
  // kind: published   source: shared checks section 9 (GPST = BDT + 14 s,
  // GPST - UTC = 18 s since 2017)
  EXPECT_EQ(time_of("GPS").s, 0);
  EXPECT_EQ(time_of("GAL").s, 0);
  EXPECT_EQ(time_of("QZS").s, 0);
  EXPECT_EQ(time_of("IRN").s, 0);
  EXPECT_EQ(time_of("BDT").s, 14);
  EXPECT_EQ(time_of("GLO").s, 18);
}

TEST(ObservationReader, PicosecondsOf402AreRounded) {
  const std::string line = "> 2024  3  1  0  0  1.2345678  0  1";
  const std::string more =
      std::string(41 - line.size(), ' ') + " 0.000000001000  1500\n";
  const std::string sat = "G05  23439008.766\n";
  const auto new_file = read_text(file3(line + more + sat, {}, "4.02"));
  ASSERT_EQ(new_file.epochs.size(), 1U);
  EXPECT_EQ(new_file.epochs[0].time.ns() - gpst(2024, 3, 1, 0, 0, 1).ns(),
            234'567'802);
  EXPECT_EQ(new_file.epochs[0].receiver_clock_s, 1e-9);
  const auto old_file = read_text(file3(line + more + sat, {}, "4.01"));
  EXPECT_EQ(old_file.epochs.at(0).time.ns() - gpst(2024, 3, 1, 0, 0, 1).ns(),
            234'567'800);
}

TEST(ObservationReader, ScaleFactorsDivide) {
  const auto got =
      read_text(file3(kEpoch3,
                      header_line("G   10   1 L1C", "SYS / SCALE FACTOR") +
                          header_line("C  100", "SYS / SCALE FACTOR")));
  const Observation* row = find(got.epochs.at(0), "G05", "1C");
  EXPECT_EQ(row->code_m, 23439008.766);
  EXPECT_EQ(row->phase_cyc, 123172824.423 / 10);
  EXPECT_EQ(got.header.columns[3][0].scale, 100);
}

TEST(ObservationReader, HeaderAsValues) {
  std::string more =
      header_line("LHOL", "Marker Name") +
      header_line("  4331297.3480   567555.6390  4633133.7280",
                  "APPROX POSITION XYZ") +
      header_line("        0.0710        0.0020       -0.0030",
                  "ANTENNA: DELTA H/E/N") +
      header_line("123                 SPDEMO-A1       NONE", "ANT # / TYPE") +
      header_line("77                  SPDEMO-R1           1.0",
                  "REC # / TYPE / VERS") +
      header_line("    30.000", "INTERVAL") +
      header_line("     1", "RCV CLOCK OFFS APPL") +
      header_line("    18    18  1929     7", "LEAP SECONDS") +
      header_line("  9 R02 -4 R03  5 R04  6 R12 -1 R13 -2 R14 -7 R21  4 R22 -3",
                  "GLONASS SLOT / FRQ #") +
      header_line("    R23  3", "GLONASS SLOT / FRQ #") +
      header_line(" C1C  -71.940 C1P  -70.000", "GLONASS COD/PHS/BIS") +
      header_line("G L2X -0.25000  02 G05 G07", "SYS / PHASE SHIFT") +
      header_line("R", "SYS / PHASE SHIFT");
  const auto got = read_text(file3(kEpoch3, more));
  ASSERT_FALSE(got.error.has_value()) << got.error->text();
  const ObservationHeader& h = got.header;
  EXPECT_EQ(h.version, 3.04);
  EXPECT_EQ(h.marker_name, "LHOL");
  EXPECT_EQ(h.approx_position_m->y_m, 567555.639);
  EXPECT_EQ(h.antenna_delta_enu_m.u_m, 0.071);
  EXPECT_EQ(h.antenna_delta_enu_m.e_m, 0.002);
  EXPECT_EQ(h.antenna_delta_enu_m.n_m, -0.003);
  EXPECT_EQ(h.antenna_type, "SPDEMO-A1       NONE");
  EXPECT_EQ(h.receiver_type, "SPDEMO-R1");
  EXPECT_EQ(h.interval_s, 30.0);
  EXPECT_TRUE(h.clock_offset_applied);
  EXPECT_EQ(h.leap_seconds, 18);
  EXPECT_EQ(h.glonass_channels.size(), 9U);
  EXPECT_EQ(h.glonass_channels.at({System::kGlonass, 14}), -7);
  EXPECT_EQ(h.glonass_bias_m.at({'1', 'P'}), -70.0);
  ASSERT_EQ(h.phase_shifts.size(), 1U);
  EXPECT_EQ(h.phase_shifts[0].signal.text(), "2X");
  EXPECT_EQ(h.phase_shifts[0].cycles, -0.25);
  EXPECT_EQ(h.phase_shifts[0].satellites.size(), 2U);
}

TEST(ObservationReader, ManyTypesContinueOnTheNextLine) {
  const auto got = read_text(
      version_line("3.04") +
      header_line("G   15 C1C L1C D1C S1C C2W L2W D2W S2W C5Q L5Q D5Q S5Q C2L",
                  "SYS / # / OBS TYPES") +
      header_line("       L2L I1C", "SYS / # / OBS TYPES") +
      header_line("", "END OF HEADER") + kEpoch3);
  ASSERT_EQ(got.header.columns[0].size(), 15U);
  EXPECT_EQ(got.header.columns[0][13].code, "L2L");
  EXPECT_EQ(got.header.columns[0][14].kind, Kind::kOther);
}

TEST(ObservationReader, EventsMayChangeTheTypes) {
  const std::string body = std::string(kEpoch3) +
                           "> 2024  3  1  0  0 10.0000000  4  2\n" +
                           header_line("G    1 C5Q", "SYS / # / OBS TYPES") +
                           header_line("new receiver", "COMMENT") +
                           "> 2024  3  1  0  0 30.0000000  0  1\n"
                           "G05  23439008.766\n";
  const auto got = read_text(file3(body));
  ASSERT_EQ(got.epochs.size(), 2U);
  EXPECT_NE(find(got.epochs[1], "G05", "5Q"), nullptr);
  ASSERT_EQ(got.events.size(), 1U);
  EXPECT_EQ(got.events[0].flag, 4);
  EXPECT_EQ(got.events[0].time, gpst(2024, 3, 1, 0, 0, 10));
  EXPECT_EQ(got.events[0].lines.size(), 2U);
  EXPECT_EQ(got.header.comments.size(), 1U);
  EXPECT_TRUE(got.problems.empty());
}

TEST(ObservationReader, SlipRecordsAreSteppedOver) {
  const std::string body = std::string(kEpoch3) +
                           "> 2024  3  1  0  0 10.0000000  6  1\n"
                           "G05                       3.000\n"
                           "> 2024  3  1  0  0 30.0000000  0  1\n"
                           "G05  23439008.766\n";
  const auto got = read_text(file3(body));
  EXPECT_EQ(got.epochs.size(), 2U);
  EXPECT_TRUE(got.problems.empty());
  EXPECT_TRUE(got.events.empty());
}

TEST(ObservationReader, UnreadableHeadersNameTheLine) {
  const auto code_of = [](const std::string& text) {
    const auto got = read_text(text);
    EXPECT_TRUE(got.error.has_value());
    EXPECT_NE(got.error->where.find("test:"), std::string::npos);
    return got.error ? got.error->code : ErrorCode::kInternal;
  };
  EXPECT_EQ(code_of(""), ErrorCode::kTruncated);
  EXPECT_EQ(code_of("hello\n"), ErrorCode::kBadHeader);
  EXPECT_EQ(code_of(version_line("1.00")), ErrorCode::kUnsupported);
  EXPECT_EQ(code_of(version_line("5.00")), ErrorCode::kUnsupported);
  EXPECT_EQ(code_of(version_line("3.04")), ErrorCode::kTruncated);
  EXPECT_EQ(code_of(version_line("3.04") + header_line("", "END OF HEADER")),
            ErrorCode::kBadHeader);
  EXPECT_EQ(code_of(version_line("3.04") +
                    header_line("G    3 C1C", "SYS / # / OBS TYPES") +
                    header_line("", "END OF HEADER")),
            ErrorCode::kBadHeader);
  EXPECT_EQ(code_of(header_line("     3.04           N: GNSS NAV DATA    M",
                                "RINEX VERSION / TYPE")),
            ErrorCode::kBadFormat);
}

TEST(ObservationReader, MixedCaseAndCarriageReturns) {
  std::string text = test::small_file3();
  text.replace(text.find("OBSERVATION DATA"), 16, "Observation data");
  std::string dos;
  for (const char c : text) {
    dos += c == '\n' ? "\r\n" : std::string(1, c);
  }
  EXPECT_EQ(test::first_difference(read_text(dos).epochs,
                                   read_text(test::small_file3()).epochs),
            -1);
}

}  // namespace
}  // namespace stillpoint::rinex
