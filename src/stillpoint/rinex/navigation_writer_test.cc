// Where things stand in a navigation file that we write, and what is refused.
#include "stillpoint/rinex/navigation_writer.h"

#include <gtest/gtest.h>

#include <limits>

#include "stillpoint/rinex/navigation_writer_parts.h"
#include "stillpoint/rinex/navigation_writer_test_support.h"

namespace stillpoint::rinex {
namespace {

using test::every_message;
using test::written;

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = text.find('\n', at);
    lines.push_back(text.substr(at, end - at));
    at = end + 1;
  }
  return lines;
}

// The lines of the first record whose first line begins so.
std::vector<std::string> record(const std::string& text,
                                const std::string& begin,
                                std::size_t count) {
  const auto lines = lines_of(text);
  for (std::size_t i = 0; i + count <= lines.size(); ++i) {
    if (lines[i].starts_with(begin)) {
      return {lines.begin() + static_cast<std::ptrdiff_t>(i),
              lines.begin() + static_cast<std::ptrdiff_t>(i + count)};
    }
  }
  ADD_FAILURE() << begin;
  return std::vector<std::string>(count);
}

NavigationData one_gps_set() {
  NavigationData data = every_message();
  data.kepler.resize(1);
  data.state.clear();
  data.ionosphere = {};
  return data;
}

LeftOutValues left_out_of(const NavigationData& data, Version version) {
  LeftOutValues left_out;
  written(data, {.version = version}, &left_out);
  return left_out;
}

// kind: published
// source: RINEX 2.11 and 3.05, D19.12 and D12.4: 19 and 12 columns, 12 and 4
// decimals, any letter of E, e, D, d
// tolerance: exact, text
TEST(NavigationWriterText, NumbersFillTheirColumns) {
  EXPECT_EQ(nav::field19(-1.234567890123e-5, 'E'), "-1.234567890123E-05");
  EXPECT_EQ(nav::field19(5153.6, 'D'), " 5.153600000000D+03");
  EXPECT_EQ(nav::field19(0, 'E'), " 0.000000000000E+00");
  EXPECT_EQ(nav::field19(9.99999999999951, 'E'), " 1.000000000000E+01");
  EXPECT_EQ(nav::field19(1e-120, 'E'), " 0.000000000000E+00");
  EXPECT_EQ(nav::field19(kMissing, 'E'), std::string(19, ' '));
  EXPECT_EQ(nav::field12(-1.1921e-7, 'E'), " -1.1921E-07");
}

// kind: published
// source: RINEX 2.11 tables A3 and A4, 3.05 and 4.02 tables of the GPS LNAV
// message: columns of satellite, time and fields; the week is that of toe, the
// transmission time is counted from its beginning (from memory)
// tolerance: exact, text
TEST(NavigationWriter, GpsRecordsStandInTheirColumns) {
  NavigationData data = one_gps_set();
  KeplerEphemeris& e = data.kepler[0];
  e.toe = e.toc = GnssTime::from_gps_week(2342, 0);  // 2024-11-24
  e.transmitted = e.toe + Duration{-7182};
  e.af0_s = -1.25e-4;
  e.af1_s_per_s = -2.5e-12;
  e.af2_s_per_s2 = 0;
  e.idot_rad_per_s = 2e-10;
  e.health = 1;
  e.group_delay_s[0] = -1.1e-8;
  const std::string clock =
      "-1.250000000000E-04-2.500000000000E-12 0.000000000000E+00";
  const std::string four = written(data, {.version = Version::k402});
  const auto r4 = record(four, "> EPH G07 LNAV", 9);
  EXPECT_EQ(r4[1], "G07 2024 11 24 00 00 00" + clock);
  EXPECT_EQ(r4[6],
            "     2.000000000000E-10                    2.342000000000E+03");
  EXPECT_EQ(r4[7],
            "     2.800000000000E+00 1.000000000000E+00-1.100000000000E-08"
            " 5.590000000000E+02");
  EXPECT_EQ(r4[8], "    -7.182000000000E+03 6.000000000000E+00");
  const auto r3 =
      record(written(data, {.version = Version::k305}), "G07 2024", 8);
  EXPECT_EQ(r3, (std::vector<std::string>(r4.begin() + 1, r4.end())));
  const auto r2 =
      record(written(data, {.version = Version::k211, .only = System::kGps}),
             " 7 24",
             8);
  EXPECT_EQ(r2[0],
            " 7 24 11 24  0  0  0.0"
            "-1.250000000000D-04-2.500000000000D-12 0.000000000000D+00");
  EXPECT_EQ(r2[7], "   -7.182000000000D+03 6.000000000000D+00");
}

// kind: published
// source: RINEX 3.05 tables of the Galileo, BeiDou and GLONASS messages: week
// of BDT counted from 2006-01-01, SISA -1 for no prediction, GLONASS in
// kilometres and UTC, .999999999999E+09 for what is not known (from memory)
// tolerance: exact, text
TEST(NavigationWriter, OtherSystemsKeepTheirScalesAndMarks) {
  NavigationData data = every_message();
  data.state[0].position_m = {1.0908942e7, -2.885726e6, 2.288353e7};
  data.state[0].velocity_mps = {1407.5, 2795.5, -316.5};
  data.state[0].acceleration_mps2 = {-1e-6, 0, -2e-6};
  data.state[0].clock_s = 5e-5;
  data.state[0].clock_rate = 1e-12;
  const std::string text = written(data, {.version = Version::k305});
  // F/NAV stands behind I/NAV of the same satellite and time.
  const auto e = record(text.substr(text.find("E05") + 3), "E05", 8);
  EXPECT_EQ(e[5].substr(23, 38), " 2.580000000000E+02 2.342000000000E+03");
  EXPECT_EQ(e[6].substr(4, 19), "-1.000000000000E+00");
  EXPECT_EQ(e[6].size(), 61U);  // no BGD E5b/E1
  const auto c = record(text, "C08", 8);
  EXPECT_EQ(c[0].substr(0, 23), "C08 2024 11 23 23 50 00");
  EXPECT_EQ(c[3].substr(4, 19), " 6.042000000000E+05");
  EXPECT_EQ(c[5].substr(42, 19), " 9.850000000000E+02");
  const auto d2 = record(text, "C03", 8);
  EXPECT_EQ(d2[7].substr(4, 19), " 9.999000000000E+08");
  const auto r = record(text, "R03", 5);
  EXPECT_EQ(r[0],
            "R03 2024 11 23 23 45 00 5.000000000000E-05 1.000000000000E-12"
            " 6.030300000000E+05");
  EXPECT_EQ(r[1],
            "     1.090894200000E+04 1.407500000000E+00-1.000000000000E-09"
            " 4.000000000000E+00");
  EXPECT_EQ(r[2].substr(61), "-4.000000000000E+00");
  EXPECT_EQ(r[4],
            "     9.999999999990E+08 8.381903171539E-09 2.000000000000E+00"
            " 4.000000000000E+00");
}

// kind: published
// source: RINEX 2.11 tables A3 and A10, 3.05 table of the navigation header,
// 4.02 (from memory)
// tolerance: exact, text
TEST(NavigationWriter, HeadersHaveWhatTheirVersionWants) {
  NavigationData data = every_message();
  data.ionosphere.gps = Klobuchar{{1.1e-8, 0, -5.96e-8, 1.2e-7},
                                  {1.2902e5, -6.5536e4, 0, 1.9661e5}};
  data.ionosphere.galileo = {160.75, 0.371, 9.06e-3};
  NavigationWriterOptions o{.version = Version::k305,
                            .only = {},
                            .program = "stillpoint",
                            .run_by = "LHOL",
                            .run_date = "20241124 000000 UTC",
                            .comments = {"invented"},
                            .leap_seconds = 19};
  auto lines = lines_of(written(data, o));
  EXPECT_EQ(lines[0],
            "     3.05           N: GNSS NAV DATA    M: MIXED            "
            "RINEX VERSION / TYPE");
  EXPECT_EQ(lines[1],
            "stillpoint          LHOL                20241124 000000 UTC "
            "PGM / RUN BY / DATE");
  EXPECT_EQ(lines[2].substr(0, 67),
            "invented" + std::string(52, ' ') + "COMMENT");
  EXPECT_EQ(lines[3],
            "GPSA   1.1000E-08  0.0000E+00 -5.9600E-08  1.2000E-07       "
            "IONOSPHERIC CORR");
  EXPECT_EQ(lines[4].substr(0, 29), "GPSB   1.2902E+05 -6.5536E+04");
  EXPECT_EQ(lines[5].substr(0, 4), "QZSA");
  EXPECT_EQ(lines[7].substr(0, 4), "BDSA");
  EXPECT_EQ(lines[10].substr(0, 4), "IRNB");
  EXPECT_EQ(lines[11].substr(0, 41),
            "GAL    1.6075E+02  3.7100E-01  9.0600E-03");
  EXPECT_EQ(lines[12], "    19" + std::string(54, ' ') + "LEAP SECONDS");
  EXPECT_EQ(lines[13], std::string(60, ' ') + "END OF HEADER");
  o.only = System::kGalileo;
  EXPECT_EQ(lines_of(written(data, o))[0].substr(40, 20),
            "E: Galileo          ");
  o.version = Version::k402;
  o.only.reset();
  lines = lines_of(written(data, o));
  EXPECT_EQ(lines[0],
            "     4.02           NAVIGATION DATA     M: MIXED            "
            "RINEX VERSION / TYPE");
  EXPECT_EQ(lines[4], std::string(60, ' ') + "END OF HEADER");
  EXPECT_EQ(lines[5], "> ION G07 LNAV");
  o.version = Version::k211;
  o.only = System::kGps;
  lines = lines_of(written(data, o));
  EXPECT_EQ(lines[0],
            "     2.11           N: GPS NAV DATA                         "
            "RINEX VERSION / TYPE");
  EXPECT_EQ(lines[3],
            "    1.1000D-08  0.0000D+00 -5.9600D-08  1.2000D-07          "
            "ION ALPHA");
  o.only = System::kGlonass;
  EXPECT_EQ(lines_of(written(data, o))[0].substr(20, 19),
            "G: GLONASS NAV DATA");
}

// kind: published
// source: RINEX 4.02, records "> ION" of Klobuchar and NeQuick parameters: the
// satellite, time and three numbers, four, one (Galileo: the storm flags)
// tolerance: exact, text
TEST(NavigationWriter, IonosphereRecordsNameTheFirstSetOfTheirSystem) {
  NavigationData data = every_message();
  data.ionosphere = {};
  data.ionosphere.galileo = {160.75, 0.371, 9.06e-3};
  data.ionosphere.beidou =
      Klobuchar{{1.1e-8, 0, -5.96e-8, 1.2e-7}, {1.29e5, -6.55e4, 0, 1.96e5}};
  const std::string text = written(data, {.version = Version::k402});
  EXPECT_EQ(record(text, "> ION E", 3),
            (std::vector<std::string>{
                "> ION E05 IFNV",
                "    2024 11 23 23 39 42 1.607500000000E+02 3.710000000000E-01"
                " 9.060000000000E-03",
                "     0.000000000000E+00"}));
  const auto c = record(text, "> ION C", 4);
  EXPECT_EQ(c[0], "> ION C08 D1D2");
  EXPECT_EQ(c[2].substr(0, 42), "     1.200000000000E-07 1.290000000000E+05");
  EXPECT_EQ(c[3], "     1.960000000000E+05");
  std::erase_if(data.kepler, [](const KeplerEphemeris& e) {
    return e.sat.system == System::kGalileo;
  });
  EXPECT_EQ(left_out_of(data, Version::k402),
            (LeftOutValues{{"ionosphere parameters of Galileo: no satellite is "
                            "at hand that sent them",
                            1}}));
}

TEST(NavigationWriter, RecordsStandByTimeThenSatelliteThenMessage) {
  NavigationData data = every_message();
  data.ionosphere = {};
  data.kepler.push_back(data.kepler[0]);
  data.kepler.back().toc = data.kepler.back().toe =
      data.kepler[0].toe + Duration{-7200};
  std::string order;
  for (const std::string& line :
       lines_of(written(data, {.version = Version::k402}))) {
    if (line.starts_with("> EPH")) {
      order += line.substr(6) + ",";
    }
  }
  EXPECT_EQ(order,
            "G07 LNAV,R03 FDMA,G07 LNAV,G07 CNAV,G08 CNV2,E05 INAV,E05 FNAV,"
            "J02 LNAV,J02 CNV2,I09 LNAV,C03 D2,C08 D1,C20 CNV1,C20 CNV2,"
            "C21 CNV3,S23 SBAS,");
}

// In version 3 the data sources alone tell I/NAV from F/NAV.
TEST(NavigationWriter, Version3SaysWhichGalileoMessageItIs) {
  NavigationData data = every_message();
  data.state.clear();
  data.ionosphere = {};
  std::erase_if(data.kepler, [](const KeplerEphemeris& e) {
    return e.sat.system != System::kGalileo;
  });
  data.kepler[0].data_sources = 258;
  data.kepler[1].data_sources = 0;
  const NavigationData back =
      test::read_back(written(data, {.version = Version::k305}));
  EXPECT_EQ(back.kepler.at(0).message, NavMessage::kInav);
  EXPECT_EQ(back.kepler.at(0).data_sources, 517U);
  EXPECT_EQ(back.kepler.at(1).message, NavMessage::kFnav);
  EXPECT_EQ(back.kepler.at(1).data_sources, 258U);
}

TEST(NavigationWriter, WhatHasNoPlaceIsNamed) {
  const auto named = [](const NavigationData& data,
                        const std::string& why,
                        Version version = Version::k402) {
    EXPECT_EQ(left_out_of(data, version), (LeftOutValues{{why, 1}}));
  };
  NavigationData data = one_gps_set();
  data.kepler[0].eccentricity = kMissing;
  named(data, "sets of GPS: the numbers cannot be an orbit and clock");
  data = one_gps_set();
  data.kepler[0].toc = data.kepler[0].toc + Duration{0.5};
  named(data, "sets of GPS: the reference time has too many digits");
  data = one_gps_set();
  data.kepler[0].group_delay_s[0] = std::numeric_limits<double>::infinity();
  named(data, "sets of GPS: a number is too large");
  data = one_gps_set();
  data.kepler[0].health = 4'294'967'295U;
  named(data, "sets of GPS: a word is larger than any message's");
  data = one_gps_set();
  data.kepler[0].message = NavMessage::kInav;
  named(data, "sets of GPS: the system has no message INAV");
  data = one_gps_set();
  data.kepler[0].message = NavMessage::kCnav;
  data.kepler[0].toe = data.kepler[0].toe + Duration{60};
  named(data, "sets of GPS: CNAV has one reference time for orbit and clock");
  data = one_gps_set();
  data.kepler[0].transmitted = data.kepler[0].toe + Duration{86'400};
  named(data, "transmission times a day and more from the reference time");
  data = every_message();
  data.kepler = {data.kepler[10]};
  data.state.clear();
  data.ionosphere = {};
  data.kepler[0].accuracy_m = 2;
  named(data,
        "accuracies of BeiDou CNV1: the message has indices of another kind");
}

TEST(NavigationWriter, WhatDoesNotFitTheHeaderIsAnError) {
  const auto error = [](const NavigationWriterOptions& options) {
    std::string text;
    LeftOutValues left_out;
    const auto sink = memory_sink(text);
    const Status s = write_navigation({}, options, *sink, left_out);
    EXPECT_FALSE(s);
    EXPECT_EQ(text, "");
    return s ? Error{} : s.error();
  };
  EXPECT_EQ(error({.program = "a name of more than 20"}).code,
            ErrorCode::kOutOfRange);
  EXPECT_EQ(error({.run_by = "Lärche"}).code, ErrorCode::kOutOfRange);
  EXPECT_EQ(error({.run_date = "a\nb"}).code, ErrorCode::kOutOfRange);
  EXPECT_EQ(error({.comments = {std::string(61, 'x')}}).code,
            ErrorCode::kOutOfRange);
  EXPECT_EQ(error({.leap_seconds = 100}).code, ErrorCode::kOutOfRange);
  EXPECT_EQ(error({.version = Version::k211}).code, ErrorCode::kUnsupported);
  EXPECT_EQ(error({.version = Version::k211, .only = System::kGalileo}).remedy,
            "Name one of them, or write version 3.05 or 4.02.");
}

// A sink that takes so many pieces.
class FullSink final : public ByteSink {
 public:
  explicit FullSink(int pieces) : left_(pieces) {}
  Status write(std::string_view) override {
    return --left_ >= 0 ? ok() : Status(fail(ErrorCode::kIo, "full"));
  }
  Status close() override { return ok(); }

 private:
  int left_;
};

TEST(NavigationWriter, ErrorsOfTheSinkAreHandedOn) {
  for (const int pieces : {0, 1, 5}) {
    FullSink sink(pieces);
    LeftOutValues left_out;
    const Status s = write_navigation(every_message(), {}, sink, left_out);
    ASSERT_FALSE(s);
    EXPECT_EQ(s.error().code, ErrorCode::kIo);
  }
}

}  // namespace
}  // namespace stillpoint::rinex
