// kind: cross   source: definition, a value and its message say the same
// Message to value to message, and what the mapping of Kepler sets refuses.
#include <cmath>
#include <limits>
#include <utility>

#include "stillpoint/gnss/broadcast.h"
#include "stillpoint/rtcm/ephemeris_loop_test_support.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::rtcm {
namespace {

constexpr int kWeek = 2305;
const GnssTime kNear = GnssTime::from_gps_week(kWeek, 320'000);

// An invented orbit; extreme values of the fields where an orbit bears them.
template <class Raw>
Raw set_of(unsigned week, std::uint32_t toe) {
  Raw m;
  m.satellite = 7;
  m.week = static_cast<std::uint16_t>(week);
  m.toe = m.toc = toe;
  m.sqrt_a = 2'702'000'001;
  m.eccentricity = 103'000'003;
  m.m0 = std::numeric_limits<std::int32_t>::min();
  m.omega0 = std::numeric_limits<std::int32_t>::max();
  m.omega = -1;
  m.i0 = 660'000'001;
  m.delta_n = -10'001;
  m.omega_dot = -20'003;
  m.idot = -8192;
  m.cuc = 16'383;
  m.cus = -16'384;
  m.cic = 1;
  m.cis = -1;
  m.crc = 16'383;
  m.crs = -16'384;
  m.af1 = -32'768;
  return m;
}

RawGpsEphemeris gps() {
  auto m = set_of<RawGpsEphemeris>(257, 20'250);
  m.af0 = -2'097'152;
  m.af2 = 127;
  m.tgd = -128;
  m.iode = 255;
  m.iodc = 1023;
  m.health = 63;
  m.ura = 15;
  m.long_fit = true;
  m.code_on_l2 = 2;
  m.l2p_data_off = true;
  return m;
}

RawQzssEphemeris qzss() {
  auto m = set_of<RawQzssEphemeris>(257, 20'250);
  m.af0 = 2'097'151;
  m.af2 = -128;
  m.tgd = 127;
  m.iode = 129;
  m.iodc = 897;
  m.health = 16;
  m.ura = 1;
  m.long_fit = true;
  m.code_on_l2 = 2;
  return m;
}

RawNavicEphemeris navic() {
  auto m = set_of<RawNavicEphemeris>(257, 20'250);
  m.af0 = 12;
  m.tgd = -5;
  m.iodec = 200;
  m.ura = 2;
  m.s_bad = true;
  m.reserved = 1023;
  m.spare1 = m.spare2 = 3;
  return m;
}

RawBeidouEphemeris beidou() {
  auto m = set_of<RawBeidouEphemeris>(949, 40'500);
  m.af0 = -8'388'608;
  m.af1 = 2'097'151;
  m.af2 = -1024;
  m.cuc = 131'071;
  m.crs = -131'072;
  m.tgd1 = -512;
  m.tgd2 = 511;
  m.aode = 31;
  m.aodc = 30;
  m.urai = 14;
  m.unhealthy = true;
  return m;
}

RawGalileoEphemeris galileo(std::uint16_t type) {
  auto m = set_of<RawGalileoEphemeris>(1281, 5'300);
  m.type = type;
  m.af0 = -1'073'741'824;
  m.af1 = 1'048'575;
  m.af2 = -32;
  m.bgd_e5a = -512;
  m.iodnav = 1023;
  m.sisa = 107;
  m.reserved = 3;
  if (type == 1046) {
    m.bgd_e5b = 511;
    m.e5b_health = 2;
    m.e1b_health = 1;
    m.e1b_invalid = true;
  } else {
    m.e5a_health = 3;
    m.e5a_invalid = true;
  }
  return m;
}

template <class Raw>
void expect_loop(const Raw& m) {
  EXPECT_EQ(eph_test::through_value(m, kNear), eph_test::neutral(m)) << m.type;
}

TEST(EphemerisLoop, AMessageComesBackFromItsValue) {
  expect_loop(gps());
  expect_loop(qzss());
  expect_loop(navic());
  expect_loop(beidou());
  expect_loop(galileo(1045));
  expect_loop(galileo(1046));
}

TEST(EphemerisLoop, EveryFitIntervalKeepsItsFlag) {
  RawGpsEphemeris m = gps();
  for (const auto& [iodc, hours] : {std::pair{0, 6},
                                    {240, 8},
                                    {247, 8},
                                    {255, 14},
                                    {496, 14},
                                    {503, 26},
                                    {1023, 26}}) {
    m.iodc = static_cast<std::uint16_t>(iodc);
    expect_loop(m);
    EXPECT_EQ(to_ephemeris(m, kNear)->fit_interval_s, hours * 3600) << iodc;
  }
  m.long_fit = false;
  expect_loop(m);
  EXPECT_EQ(to_ephemeris(m, kNear)->fit_interval_s, 0);
}

TEST(EphemerisLoop, HealthStandsWhereItIsLookedFor) {
  const auto healthy = [](const auto& m) {
    return is_healthy(*to_ephemeris(m, kNear));
  };
  EXPECT_FALSE(healthy(gps()));
  EXPECT_FALSE(healthy(qzss()));  // L1 C/A
  EXPECT_TRUE(healthy(navic()));  // S band alone is bad
  EXPECT_FALSE(healthy(beidou()));
  EXPECT_FALSE(healthy(galileo(1045)));
  EXPECT_FALSE(healthy(galileo(1046)));
  RawNavicEphemeris n = navic();
  n.l5_bad = true;
  EXPECT_FALSE(healthy(n));
  expect_loop(n);
  // As files have them: E5a from bit 3, E1-B from bit 0, E5b from bit 6.
  EXPECT_EQ(to_ephemeris(galileo(1045), kNear)->health, 0b000'111'000U);
  EXPECT_EQ(to_ephemeris(galileo(1046), kNear)->health, 0b100'000'011U);
}

TEST(EphemerisLoop, BeidouGeostationariesSendD2) {
  RawBeidouEphemeris m = beidou();
  for (const unsigned number : {1U, 5U, 59U, 63U}) {
    m.satellite = static_cast<std::uint16_t>(number);
    EXPECT_EQ(to_ephemeris(m, kNear)->message, NavMessage::kD2);
    expect_loop(m);
  }
  m.satellite = 6;
  EXPECT_EQ(to_ephemeris(m, kNear)->message, NavMessage::kD1);
}

TEST(EphemerisLoop, ClockTimeMayLieInTheWeekBefore) {
  RawGpsEphemeris m = gps();
  m.toe = 0;
  m.toc = 37'799;
  const GnssTime near = GnssTime::from_gps_week(kWeek, 100);
  const auto e = to_ephemeris(m, near);
  ASSERT_TRUE(e);
  EXPECT_EQ(e->toe, GnssTime::from_gps_week(kWeek, 0));
  EXPECT_EQ(e->toc, GnssTime::from_gps_week(kWeek - 1, 604'784));
  EXPECT_EQ(eph_test::through_value(m, near), eph_test::neutral(m));
}

TEST(EphemerisLoop, AnglesBeyondHalfATurnAreWrapped) {
  KeplerEphemeris e = *to_ephemeris(gps(), kNear);
  const double turn = 2 * 3.1415926535898;
  e.m0_rad += turn;
  e.omega0_rad -= turn;
  e.omega_rad += turn;
  const auto m = to_raw_gps(e);
  ASSERT_TRUE(m);
  EXPECT_EQ(*m, eph_test::neutral(gps()));
}

TEST(EphemerisLoop, RefusesSatellitesAndTimesThatDoNotExist) {
  const auto code = [](const auto& m) {
    const auto e = to_ephemeris(m, kNear);
    return e ? ErrorCode::kInternal : e.error().code;
  };
  RawGpsEphemeris g = gps();
  g.satellite = 0;
  EXPECT_EQ(code(g), ErrorCode::kOutOfRange);
  g = gps();
  g.toe = 37'800;
  EXPECT_EQ(code(g), ErrorCode::kOutOfRange);
  g = gps();
  g.toc = 65'535;
  EXPECT_EQ(code(g), ErrorCode::kOutOfRange);
  g = gps();
  g.sqrt_a = 0;  // no orbit
  EXPECT_EQ(code(g), ErrorCode::kOutOfRange);
  RawQzssEphemeris q = qzss();
  q.satellite = 11;
  EXPECT_EQ(code(q), ErrorCode::kOutOfRange);
  RawGalileoEphemeris f = galileo(1045);
  f.toe = 16'383;
  EXPECT_EQ(code(f), ErrorCode::kOutOfRange);
  EXPECT_EQ(code(RawBeidouEphemeris{}), ErrorCode::kOutOfRange);
  EXPECT_EQ(code(RawNavicEphemeris{}), ErrorCode::kOutOfRange);
}

TEST(EphemerisLoop, RefusesValuesThatNoFieldHolds) {
  const KeplerEphemeris good = *to_ephemeris(gps(), kNear);
  const auto code = [](const KeplerEphemeris& e) {
    const auto m = to_raw_gps(e);
    return m ? ErrorCode::kInternal : m.error().code;
  };
  KeplerEphemeris e = good;
  e.crs_m = 1100;
  EXPECT_EQ(code(e), ErrorCode::kOutOfRange);
  e = good;
  e.af0_s = kMissing;
  EXPECT_EQ(code(e), ErrorCode::kOutOfRange);
  e = good;
  e.m0_rad = std::numeric_limits<double>::infinity();
  EXPECT_EQ(code(e), ErrorCode::kOutOfRange);
  e = good;
  e.iode = -1;
  EXPECT_EQ(code(e), ErrorCode::kOutOfRange);
  e = good;
  e.iode = 256;
  EXPECT_EQ(code(e), ErrorCode::kOutOfRange);
  e = good;
  e.health = 70'000;
  EXPECT_EQ(code(e), ErrorCode::kOutOfRange);
  e = good;
  e.toe = e.toe + Duration{8};
  EXPECT_EQ(code(e), ErrorCode::kOutOfRange);
}

TEST(EphemerisLoop, EachMessageTakesItsOwnKind) {
  KeplerEphemeris e = *to_ephemeris(gps(), kNear);
  EXPECT_EQ(to_raw_qzss(e).error().code, ErrorCode::kUnsupported);
  EXPECT_EQ(to_raw_navic(e).error().code, ErrorCode::kUnsupported);
  EXPECT_EQ(to_raw_beidou(e).error().code, ErrorCode::kUnsupported);
  e.message = NavMessage::kCnav;
  EXPECT_EQ(to_raw_gps(e).error().code, ErrorCode::kUnsupported);
  const KeplerEphemeris f = *to_ephemeris(galileo(1045), kNear);
  EXPECT_EQ(to_raw_galileo_inav(f).error().code, ErrorCode::kUnsupported);
  KeplerEphemeris i = *to_ephemeris(galileo(1046), kNear);
  EXPECT_EQ(to_raw_galileo_fnav(i).error().code, ErrorCode::kUnsupported);
  i.group_delay_s[1] = kMissing;
  EXPECT_EQ(to_raw_galileo_inav(i).error().code, ErrorCode::kOutOfRange);
}

TEST(EphemerisLoop, WeekHintIsNothingForAnEmptyWeek) {
  RawGalileoEphemeris f = galileo(1045);
  EXPECT_EQ(full_week_hint(f), kWeek);
  f.week = 0;
  EXPECT_FALSE(full_week_hint(f));
  RawBeidouEphemeris b = beidou();
  EXPECT_EQ(full_week_hint(b), kWeek);
  b.week = 0;
  EXPECT_FALSE(full_week_hint(b));
}

}  // namespace
}  // namespace stillpoint::rtcm
