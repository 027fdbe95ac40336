#include "stillpoint/rinex/header_writer.h"

#include <gtest/gtest.h>

#include <string>

#include "stillpoint/rinex/observation_writer_rows.h"
#include "stillpoint/rinex/observation_writer_test_support.h"

namespace stillpoint::rinex {
namespace {

using test::before_label;
using test::columns_of;
using test::demo_header;
using test::header_line;
using test::of;

Result<std::string> text_of(const ObservationHeader& header, Version version) {
  return header_text(header,
                     written_columns(header, version),
                     version,
                     header.first_obs.value_or(GnssTime{}));
}

TEST(HeaderWriter, Version305HasEveryLine) {
  ObservationHeader header = demo_header();
  header.last_obs = test::at(2024, 3, 1, 23, 59, 30);
  const auto text = text_of(header, Version::k305);
  ASSERT_TRUE(text.has_value());
  const std::string expected =
      header_line("     3.05           OBSERVATION DATA    M",
                  "RINEX VERSION / TYPE") +
      header_line(
          "Stillpoint          Larch Hollow        "
          "20240301 120000 UTC",
          "PGM / RUN BY / DATE") +
      header_line("Larch Hollow is invented; nothing here is a sky",
                  "COMMENT") +
      header_line("LHOL", "MARKER NAME") +
      header_line("GEODETIC", "MARKER TYPE") +
      header_line("ditch-1             Larch Hollow Growers' Cooperative",
                  "OBSERVER / AGENCY") +
      header_line("0001                SPDEMO-R1           1.0",
                  "REC # / TYPE / VERS") +
      header_line("1                   SPDEMO-A1       NONE", "ANT # / TYPE") +
      header_line("  4281406.3608   670450.3441  4664823.2000",
                  "APPROX POSITION XYZ") +
      header_line("        0.5120        0.0010       -0.0020",
                  "ANTENNA: DELTA H/E/N") +
      header_line("G   16 C1C L1C D1C S1C C1W S1W C2W L2W D2W S2W C2L L2L D2L",
                  "SYS / # / OBS TYPES") +
      header_line("       S2L C5Q L5Q", "SYS / # / OBS TYPES") +
      header_line("R    7 C1C L1C D1C S1C C2P L2P S2P", "SYS / # / OBS TYPES") +
      header_line("E    8 C1X L1X S1X C5X L5X S5X C7X L7X",
                  "SYS / # / OBS TYPES") +
      header_line("C    6 C2I L2I S2I C6I L6I S6I", "SYS / # / OBS TYPES") +
      header_line("J    4 C1C L1C C5Q L5Q", "SYS / # / OBS TYPES") +
      header_line("S    4 C1C L1C D1C S1C", "SYS / # / OBS TYPES") +
      header_line("I    3 C5A L5A S5A", "SYS / # / OBS TYPES") +
      header_line("G L2L  0.25000", "SYS / PHASE SHIFT") +
      header_line("R L2P -0.25000   2 R01 R24", "SYS / PHASE SHIFT") +
      header_line("E", "SYS / PHASE SHIFT") +
      header_line("C", "SYS / PHASE SHIFT") +
      header_line("J", "SYS / PHASE SHIFT") +
      header_line("S", "SYS / PHASE SHIFT") +
      header_line("I", "SYS / PHASE SHIFT") +
      header_line(" 24 R01 -6 R02 -5 R03 -4 R04 -3 R05 -2 R06 -1 R07  0 R08  1",
                  "GLONASS SLOT / FRQ #") +
      header_line("    R09  2 R10  3 R11  4 R12  5 R13  6 R14 -7 R15 -6 R16 -5",
                  "GLONASS SLOT / FRQ #") +
      header_line("    R17 -4 R18 -3 R19 -2 R20 -1 R21  0 R22  1 R23  2 R24  3",
                  "GLONASS SLOT / FRQ #") +
      header_line(" C1C  -71.940 C2P  -71.250", "GLONASS COD/PHS/BIS") +
      header_line("DBHZ", "SIGNAL STRENGTH UNIT") +
      header_line("    30.000", "INTERVAL") +
      header_line("  2024     3     1     0     0    0.0000000     GPS",
                  "TIME OF FIRST OBS") +
      header_line("  2024     3     1    23    59   30.0000000     GPS",
                  "TIME OF LAST OBS") +
      header_line("     0", "RCV CLOCK OFFS APPL") +
      header_line("    18", "LEAP SECONDS") + header_line("", "END OF HEADER");
  EXPECT_EQ(*text, expected);
}

TEST(HeaderWriter, Version402HasNoPhaseShifts) {
  const auto old = text_of(demo_header(), Version::k305);
  const auto now = text_of(demo_header(), Version::k402);
  ASSERT_TRUE(old.has_value() && now.has_value());
  EXPECT_EQ(before_label(*now, "RINEX VERSION / TYPE"),
            "     4.02           OBSERVATION DATA    M");
  EXPECT_EQ(before_label(*now, "SYS / PHASE SHIFT"), "-");
  // Nothing else differs.
  std::string shortened = *old;
  shortened.replace(5, 4, "4.02");
  for (auto at = shortened.find("SYS / PHASE SHIFT"); at != std::string::npos;
       at = shortened.find("SYS / PHASE SHIFT")) {
    shortened.erase(at - 60, 60 + std::string("SYS / PHASE SHIFT\n").size());
  }
  EXPECT_EQ(*now, shortened);
}

TEST(HeaderWriter, Version211HasItsOwnLines) {
  const auto text = text_of(test::demo_header2(), Version::k211);
  ASSERT_TRUE(text.has_value());
  EXPECT_EQ(before_label(*text, "RINEX VERSION / TYPE"),
            "     2.11           OBSERVATION DATA    M");
  EXPECT_EQ(before_label(*text, "WAVELENGTH FACT L1/2"), "     1     1");
  EXPECT_NE(text->find(header_line(
                "    20    C1    L1    D1    S1    P1    C2    P2    L2    D2",
                "# / TYPES OF OBSERV")),
            std::string::npos);
  EXPECT_NE(text->find(header_line(
                "          S2    C5    L5    D5    S5    C7    L7    C8    L8",
                "# / TYPES OF OBSERV")),
            std::string::npos);
  EXPECT_NE(
      text->find(header_line("          C6    L6", "# / TYPES OF OBSERV")),
      std::string::npos);
  for (const char* newer : {"MARKER TYPE",
                            "SYS / # / OBS TYPES",
                            "SYS / PHASE SHIFT",
                            "GLONASS SLOT / FRQ #",
                            "GLONASS COD/PHS/BIS",
                            "SIGNAL STRENGTH UNIT"}) {
    EXPECT_EQ(before_label(*text, newer), "-") << newer;
  }
}

TEST(HeaderWriter, LinesAreAsWideAsTheyMayBe) {
  ObservationHeader header = demo_header();
  header.marker_name = std::string(60, 'm');
  header.antenna_type = std::string(20, 'a');
  header.approx_position_m = Ecef{-99'999'999.9999, 999'999'999.9999, 0};
  for (const Version version : {Version::k211, Version::k305, Version::k402}) {
    const auto text = text_of(header, version);
    ASSERT_TRUE(text.has_value());
    std::size_t count = 0;
    for (std::size_t at = 0; at < text->size(); ++count) {
      const std::size_t end = text->find('\n', at);
      EXPECT_LE(end - at, 80U);
      EXPECT_GT(end - at, 60U);
      EXPECT_NE((*text)[at + 60], ' ');
      at = end + 1;
    }
    EXPECT_GT(count, 10U);
  }
}

TEST(HeaderWriter, LetterOfASingleSystem) {
  ObservationHeader header = demo_header();
  header.columns = {};
  of(header, System::kGalileo) = columns_of(System::kGalileo, "C1X L1X");
  EXPECT_EQ(text_of(header, Version::k305)->substr(40, 1), "M");
  header.system = 'E';
  EXPECT_EQ(text_of(header, Version::k305)->substr(40, 1), "E");
  of(header, System::kGps) = columns_of(System::kGps, "C1C");
  EXPECT_EQ(text_of(header, Version::k305)->substr(40, 1), "M");
}

TEST(HeaderWriter, ScaleIsNamedInTheTimeOfTheFirstEpoch) {
  ObservationHeader header = demo_header();
  const auto first = [&](TimeScale scale, Version version) {
    header.scale = scale;
    return before_label(*text_of(header, version), "TIME OF FIRST OBS");
  };
  EXPECT_EQ(first(TimeScale::kBeidou, Version::k305),
            "  2024     2    29    23    59   46.0000000     BDT");
  EXPECT_EQ(first(TimeScale::kBeidou, Version::k211),
            "  2024     3     1     0     0    0.0000000     GPS");
  EXPECT_EQ(first(TimeScale::kGlonass, Version::k211),
            "  2024     2    29    23    59   42.0000000     GLO");
  EXPECT_EQ(first(TimeScale::kUtc, Version::k402),
            "  2024     2    29    23    59   42.0000000     GLO");
  EXPECT_EQ(first(TimeScale::kGalileo, Version::k305),
            "  2024     3     1     0     0    0.0000000     GAL");
  EXPECT_EQ(first(TimeScale::kQzss, Version::k402),
            "  2024     3     1     0     0    0.0000000     QZS");
  header.scale = TimeScale::kTai;
  const auto refused = text_of(header, Version::k305);
  ASSERT_FALSE(refused.has_value());
  EXPECT_EQ(refused.error().code, ErrorCode::kOutOfRange);
}

TEST(HeaderWriter, OptionalLinesStandWhereSomethingIsKnown) {
  ObservationHeader header;
  of(header, System::kGlonass) = columns_of(System::kGlonass, "C1C L1C");
  const auto text = text_of(header, Version::k305);
  ASSERT_TRUE(text.has_value());
  for (const char* label : {"MARKER NUMBER",
                            "COMMENT",
                            "APPROX POSITION XYZ",
                            "INTERVAL",
                            "TIME OF LAST OBS",
                            "LEAP SECONDS",
                            "SIGNAL STRENGTH UNIT"}) {
    EXPECT_EQ(before_label(*text, label), "-") << label;
  }
  EXPECT_EQ(before_label(*text, "MARKER NAME"), "");
  EXPECT_EQ(before_label(*text, "GLONASS SLOT / FRQ #"), "  0");
  EXPECT_EQ(before_label(*text, "GLONASS COD/PHS/BIS"), "");
  EXPECT_EQ(before_label(*text, "SYS / PHASE SHIFT"), "R");
  EXPECT_EQ(
      before_label(*text_of(header, Version::k211), "APPROX POSITION XYZ"),
      "        0.0000        0.0000        0.0000");
}

TEST(HeaderWriter, ScaleFactorsAreSaidTypeByType) {
  ObservationHeader header = demo_header();
  of(header, System::kBeidou)[1].scale = 100;
  EXPECT_EQ(before_label(*text_of(header, Version::k305), "SYS / SCALE FACTOR"),
            "C  100   1 L2I");
  EXPECT_EQ(before_label(*text_of(header, Version::k211), "SYS / SCALE FACTOR"),
            "-");
}

TEST(HeaderWriter, WhatDoesNotFitIsNamed) {
  const auto error_of = [](auto change) {
    ObservationHeader header = demo_header();
    change(header);
    const auto text = text_of(header, Version::k305);
    EXPECT_FALSE(text.has_value());
    EXPECT_EQ(text.error().code, ErrorCode::kOutOfRange);
    EXPECT_FALSE(text.error().remedy.empty());
    return text.error().what;
  };
  EXPECT_EQ(error_of([](ObservationHeader& h) {
              h.receiver_type = "SPDEMO-R1 with a long name";
            }),
            "the receiver's type is longer than 20 columns: 'SPDEMO-R1 with a "
            "long name'");
  EXPECT_NE(error_of([](ObservationHeader& h) {
              h.comments.emplace_back("two\nlines");
            }).find("printable"),
            std::string::npos);
  EXPECT_NE(error_of([](ObservationHeader& h) {
              h.agency = "L\xc3\xa4rche";
            }).find("the agency"),
            std::string::npos);
  EXPECT_NE(error_of([](ObservationHeader& h) {
              h.approx_position_m->x_m = 1e10;
            }).find("position"),
            std::string::npos);
  EXPECT_NE(error_of([](ObservationHeader& h) {
              h.antenna_delta_enu_m.u_m = kMissing;
            }).find("offset"),
            std::string::npos);
  EXPECT_NE(error_of([](ObservationHeader& h) {
              h.interval_s = 1e9;
            }).find("interval"),
            std::string::npos);
  EXPECT_NE(error_of([](ObservationHeader& h) {
              h.leap_seconds = 1'000'000;
            }).find("leap"),
            std::string::npos);
}

TEST(HeaderWriter, CompressionLinesNameTheirVersion) {
  const auto old = compression_text(demo_header(), Version::k211);
  const auto now = compression_text(demo_header(), Version::k402);
  ASSERT_TRUE(old.has_value() && now.has_value());
  EXPECT_EQ(*old,
            header_line("1.0                 COMPACT RINEX FORMAT",
                        "CRINEX VERS   / TYPE") +
                header_line("Stillpoint                              20240301 "
                            "120000 UTC",
                            "CRINEX PROG / DATE"));
  EXPECT_EQ(now->substr(0, 3), "3.0");
}

// Everything that the reader keeps comes back.
TEST(HeaderWriter, ReaderGivesTheHeaderBack) {
  ObservationHeader header = demo_header();
  header.marker_number = "00001M001";
  header.clock_offset_applied = true;
  header.last_obs = test::at(2024, 3, 1, 1, 2, 3.5);
  of(header, System::kBeidou)[1].scale = 100;
  const auto got = test::read_text(*text_of(header, Version::k305));
  ASSERT_FALSE(got.error.has_value()) << got.error->text();
  const ObservationHeader& h = got.header;
  EXPECT_EQ(h.program, header.program);
  EXPECT_EQ(h.run_by, header.run_by);
  EXPECT_EQ(h.run_date, header.run_date);
  EXPECT_EQ(h.observer, header.observer);
  EXPECT_EQ(h.agency, header.agency);
  EXPECT_EQ(h.comments, header.comments);
  EXPECT_EQ(h.marker_name, header.marker_name);
  EXPECT_EQ(h.marker_number, header.marker_number);
  EXPECT_EQ(h.marker_type, header.marker_type);
  EXPECT_EQ(h.receiver_serial, header.receiver_serial);
  EXPECT_EQ(h.receiver_type, header.receiver_type);
  EXPECT_EQ(h.receiver_version, header.receiver_version);
  EXPECT_EQ(h.antenna_serial, header.antenna_serial);
  EXPECT_EQ(h.antenna_type, header.antenna_type);
  EXPECT_EQ(h.approx_position_m->x_m, header.approx_position_m->x_m);
  EXPECT_EQ(h.antenna_delta_enu_m.u_m, header.antenna_delta_enu_m.u_m);
  EXPECT_EQ(h.antenna_delta_enu_m.n_m, header.antenna_delta_enu_m.n_m);
  EXPECT_EQ(h.interval_s, header.interval_s);
  EXPECT_EQ(h.first_obs, header.first_obs);
  EXPECT_EQ(h.last_obs, header.last_obs);
  EXPECT_EQ(h.clock_offset_applied, true);
  EXPECT_EQ(h.glonass_channels, header.glonass_channels);
  EXPECT_EQ(h.glonass_bias_m, header.glonass_bias_m);
  EXPECT_EQ(h.leap_seconds, header.leap_seconds);
  ASSERT_EQ(h.phase_shifts.size(), 2U);
  EXPECT_EQ(h.phase_shifts[0].cycles, 0.25);
  EXPECT_EQ(h.phase_shifts[1].satellites, header.phase_shifts[1].satellites);
  for (std::size_t s = 0; s < h.columns.size(); ++s) {
    ASSERT_EQ(h.columns[s].size(), header.columns[s].size());
    for (std::size_t i = 0; i < h.columns[s].size(); ++i) {
      EXPECT_EQ(h.columns[s][i].code, header.columns[s][i].code);
      EXPECT_EQ(h.columns[s][i].scale, header.columns[s][i].scale);
    }
  }
}

}  // namespace
}  // namespace stillpoint::rinex
