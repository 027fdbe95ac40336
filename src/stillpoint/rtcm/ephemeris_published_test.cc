// kind: published   source: block by block in tests/vectors/rtcm_ephemeris.vec
// (printed field values of public streams), with the tolerance and its reason
// Published ephemeris frames as values in SI units.
#include <cmath>
#include <map>

#include "stillpoint/gnss/broadcast.h"
#include "stillpoint/rtcm/ephemeris.h"
#include "stillpoint/rtcm/ephemeris_test_support.h"
#include "stillpoint/time/scales.h"
#include "tests/support/vectors.h"

namespace stillpoint::rtcm {
namespace {

// The frames are of 2024-03-13, day 73 of the four years from 2024.
constexpr int kWeek = 2305;
const GnssTime kNear = GnssTime::from_gps_week(kWeek, 3 * 86'400 + 17 * 3600);

test::Block published_block(int type) {
  for (const test::Block& b : test::read_vectors("rtcm_ephemeris.vec")) {
    if (b.kind == "published" && b.out("DF002") == type) {
      return b;
    }
  }
  ADD_FAILURE() << "no published frame of " << type;
  return {};
}

template <class Raw>
Raw message_of(const test::Block& b) {
  Raw m;
  const eph_test::Bytes frame = eph_test::bytes_of_hex(b.word("frame"));
  EXPECT_TRUE(decode_fields(payload_of(frame), m)) << b.name;
  return m;
}

// Names of the fields with one meaning in every Kepler message.
struct Names {
  const char *toc, *toe, *af0, *af1, *af2, *sqrt_a, *e, *m0, *delta_n, *omega0,
      *omega_dot, *omega, *i0, *idot, *cuc, *cus, *crc, *crs, *cic, *cis;
};

void expect_kepler(const KeplerEphemeris& e,
                   const test::Block& b,
                   const Names& n,
                   double ahead_s) {
  constexpr double kPi = 3.1415926535898;
  const auto expect_value = [&b](double value, const char* name, double unit) {
    const double expected = b.out(name) * unit;
    EXPECT_NEAR(value, expected, std::abs(expected) * b.tolerance)
        << b.name << ' ' << name;
  };
  EXPECT_EQ(e.toc, GnssTime::from_gps_week(kWeek, b.out(n.toc) - ahead_s));
  EXPECT_EQ(e.toe, GnssTime::from_gps_week(kWeek, b.out(n.toe) - ahead_s));
  expect_value(e.af0_s, n.af0, 1);
  expect_value(e.af1_s_per_s, n.af1, 1);
  expect_value(e.af2_s_per_s2, n.af2, 1);
  expect_value(e.sqrt_a_sqrt_m, n.sqrt_a, 1);
  expect_value(e.eccentricity, n.e, 1);
  expect_value(e.m0_rad, n.m0, kPi);
  expect_value(e.delta_n_rad_per_s, n.delta_n, kPi);
  expect_value(e.omega0_rad, n.omega0, kPi);
  expect_value(e.omega_dot_rad_per_s, n.omega_dot, kPi);
  expect_value(e.omega_rad, n.omega, kPi);
  expect_value(e.i0_rad, n.i0, kPi);
  expect_value(e.idot_rad_per_s, n.idot, kPi);
  expect_value(e.cuc_rad, n.cuc, 1);
  expect_value(e.cus_rad, n.cus, 1);
  expect_value(e.crc_m, n.crc, 1);
  expect_value(e.crs_m, n.crs, 1);
  expect_value(e.cic_rad, n.cic, 1);
  expect_value(e.cis_rad, n.cis, 1);
}

constexpr Names kGalileoNames{"DF293", "DF304", "DF296", "DF295", "DF294",
                              "DF303", "DF301", "DF299", "DF298", "DF306",
                              "DF311", "DF310", "DF308", "DF292", "DF300",
                              "DF302", "DF309", "DF297", "DF305", "DF307"};

TEST(PublishedEphemeris, Gps) {
  const test::Block b = published_block(1019);
  const auto e = to_ephemeris(message_of<RawGpsEphemeris>(b), kNear);
  ASSERT_TRUE(e);
  EXPECT_EQ(e->sat.text(), "G02");
  EXPECT_EQ(e->message, NavMessage::kLnav);
  expect_kepler(*e,
                b,
                {"DF081", "DF093", "DF084", "DF083", "DF082", "DF092", "DF090",
                 "DF088", "DF087", "DF095", "DF100", "DF099", "DF097", "DF079",
                 "DF089", "DF091", "DF098", "DF086", "DF094", "DF096"},
                0);
  EXPECT_NEAR(e->group_delay_s[0], b.out("DF101"), 1e-19);
  EXPECT_EQ(e->iode, 185);
  EXPECT_EQ(e->iodc, 185);
  EXPECT_EQ(e->accuracy_m, 2.0);
  EXPECT_EQ(e->fit_interval_s, 0);
  EXPECT_TRUE(is_healthy(*e));
}

TEST(PublishedEphemeris, Beidou) {
  const test::Block b = published_block(1042);
  const auto m = message_of<RawBeidouEphemeris>(b);
  const auto e = to_ephemeris(m, kNear);
  ASSERT_TRUE(e);
  EXPECT_EQ(e->sat.text(), "C12");
  EXPECT_EQ(e->message, NavMessage::kD1);
  expect_kepler(*e,
                b,
                {"DF493", "DF505", "DF496", "DF495", "DF494", "DF504", "DF502",
                 "DF500", "DF499", "DF507", "DF512", "DF511", "DF509", "DF491",
                 "DF501", "DF503", "DF510", "DF498", "DF506", "DF508"},
                kBdtMinusGpstS);
  // TGD1 belongs to B1I, TGD2 to B2I, both seen from B3I.
  EXPECT_NEAR(e->group_delay_s[0], 2.4e-9, 1e-18);
  EXPECT_NEAR(e->group_delay_s[1], 0.4e-9, 1e-18);
  EXPECT_EQ(group_delay_s(*e, {'2', 'I'}), e->group_delay_s[0]);
  EXPECT_EQ(e->iode, 3);
  EXPECT_EQ(e->iodc, 2);
  EXPECT_EQ(full_week_hint(m), kWeek);
  EXPECT_TRUE(is_healthy(*e));
}

TEST(PublishedEphemeris, GalileoFnav) {
  const test::Block b = published_block(1045);
  const auto m = message_of<RawGalileoEphemeris>(b);
  const auto e = to_ephemeris(m, kNear);
  ASSERT_TRUE(e);
  EXPECT_EQ(e->sat.text(), "E03");
  EXPECT_EQ(e->message, NavMessage::kFnav);
  EXPECT_EQ(e->data_sources, 258U);
  expect_kepler(*e, b, kGalileoNames, 0);
  EXPECT_NEAR(e->group_delay_s[0], b.out("DF312"), 1e-19);
  EXPECT_TRUE(std::isnan(e->group_delay_s[1]));
  EXPECT_EQ(e->iode, 22);
  EXPECT_EQ(e->accuracy_m, 3.12);
  EXPECT_EQ(full_week_hint(m), kWeek);
  EXPECT_TRUE(is_healthy(*e));
}

TEST(PublishedEphemeris, GalileoInav) {
  const test::Block b = published_block(1046);
  const auto e = to_ephemeris(message_of<RawGalileoEphemeris>(b), kNear);
  ASSERT_TRUE(e);
  EXPECT_EQ(e->sat.text(), "E05");
  EXPECT_EQ(e->message, NavMessage::kInav);
  EXPECT_EQ(e->data_sources, 517U);
  expect_kepler(*e, b, kGalileoNames, 0);
  EXPECT_NEAR(e->group_delay_s[0], b.out("DF312"), 1e-19);
  EXPECT_NEAR(e->group_delay_s[1], b.out("DF313"), 1e-19);
  EXPECT_TRUE(is_healthy(*e));
}

TEST(PublishedEphemeris, Glonass) {
  const test::Block b = published_block(1020);
  const auto m = message_of<RawGlonassEphemeris>(b);
  const auto e = to_ephemeris(m, kNear);
  ASSERT_TRUE(e);
  EXPECT_EQ(e->sat.text(), "R09");
  EXPECT_EQ(e->channel, -2);
  EXPECT_EQ(e->issue, 79);
  // t_b 79 is 19:45, t_k 19:30 of Moscow time.
  EXPECT_EQ(e->toe, parse_time("2024-03-13T16:45:00Z").value());
  EXPECT_EQ(e->transmitted, parse_time("2024-03-13T16:30:00Z").value());
  EXPECT_EQ(full_week_hint(m), kWeek);
  const auto expect_km = [&b](double metres, const char* name) {
    EXPECT_NEAR(metres, 1e3 * b.out(name), 1e3 * std::abs(b.out(name)) * 1e-11)
        << name;
  };
  expect_km(e->velocity_mps.x_m, "DF111");
  expect_km(e->position_m.x_m, "DF112");
  expect_km(e->acceleration_mps2.x_m, "DF113");
  expect_km(e->velocity_mps.y_m, "DF114");
  expect_km(e->position_m.y_m, "DF115");
  expect_km(e->acceleration_mps2.y_m, "DF116");
  expect_km(e->velocity_mps.z_m, "DF117");
  expect_km(e->position_m.z_m, "DF118");
  expect_km(e->acceleration_mps2.z_m, "DF119");
  // Units of the GLONASS ICD, table 4.5: 2^-40, 2^-30 s, 2^-30 s.
  EXPECT_EQ(e->clock_rate, std::ldexp(b.out("DF121"), -40));
  EXPECT_EQ(e->clock_s, -std::ldexp(b.out("DF124"), -30));
  EXPECT_EQ(e->l2_minus_l1_s, std::ldexp(b.out("DF125"), -30));
  EXPECT_EQ(e->accuracy_m, 7.0);  // F_T 5
  EXPECT_EQ(e->health, 0);
}

}  // namespace
}  // namespace stillpoint::rtcm
