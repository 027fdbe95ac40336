// kind: published   source: block by block in tests/vectors/rtcm_ephemeris.vec,
// with the tolerance and its reason
// The raw layer of the ephemeris messages: each field at its place, and the
// same bits back.
#include "stillpoint/rtcm/raw_ephemeris.h"

#include <cmath>
#include <map>
#include <set>
#include <string>

#include "stillpoint/rtcm/ephemeris_test_support.h"
#include "tests/support/test_data.h"
#include "tests/support/vectors.h"

namespace stillpoint::rtcm {
namespace {

using Fields = std::map<std::string, double>;

double p2(int exponent) {
  return std::ldexp(1.0, exponent);
}

Fields named(const RawGpsEphemeris& m) {
  return {{"DF002", m.type},
          {"DF009", m.satellite},
          {"DF076", m.week},
          {"DF077", m.ura},
          {"DF078", m.code_on_l2},
          {"DF079", m.idot * p2(-43)},
          {"DF071", m.iode},
          {"DF081", m.toc * 16.0},
          {"DF082", m.af2 * p2(-55)},
          {"DF083", m.af1 * p2(-43)},
          {"DF084", m.af0 * p2(-31)},
          {"DF085", m.iodc},
          {"DF086", m.crs * p2(-5)},
          {"DF087", m.delta_n * p2(-43)},
          {"DF088", m.m0 * p2(-31)},
          {"DF089", m.cuc * p2(-29)},
          {"DF090", m.eccentricity * p2(-33)},
          {"DF091", m.cus * p2(-29)},
          {"DF092", m.sqrt_a * p2(-19)},
          {"DF093", m.toe * 16.0},
          {"DF094", m.cic * p2(-29)},
          {"DF095", m.omega0 * p2(-31)},
          {"DF096", m.cis * p2(-29)},
          {"DF097", m.i0 * p2(-31)},
          {"DF098", m.crc * p2(-5)},
          {"DF099", m.omega * p2(-31)},
          {"DF100", m.omega_dot * p2(-43)},
          {"DF101", m.tgd * p2(-31)},
          {"DF102", m.health},
          {"DF103", m.l2p_data_off ? 1 : 0},
          {"DF137", m.long_fit ? 1 : 0}};
}

Fields named(const RawQzssEphemeris& m) {
  return {{"DF002", m.type},
          {"DF429", m.satellite},
          {"DF430", m.toc * 16.0},
          {"DF431", m.af2 * p2(-55)},
          {"DF432", m.af1 * p2(-43)},
          {"DF433", m.af0 * p2(-31)},
          {"DF434", m.iode},
          {"DF435", m.crs * p2(-5)},
          {"DF436", m.delta_n * p2(-43)},
          {"DF437", m.m0 * p2(-31)},
          {"DF438", m.cuc * p2(-29)},
          {"DF439", m.eccentricity * p2(-33)},
          {"DF440", m.cus * p2(-29)},
          {"DF441", m.sqrt_a * p2(-19)},
          {"DF442", m.toe * 16.0},
          {"DF443", m.cic * p2(-29)},
          {"DF444", m.omega0 * p2(-31)},
          {"DF445", m.cis * p2(-29)},
          {"DF446", m.i0 * p2(-31)},
          {"DF447", m.crc * p2(-5)},
          {"DF448", m.omega * p2(-31)},
          {"DF449", m.omega_dot * p2(-43)},
          {"DF450", m.idot * p2(-43)},
          {"DF451", m.code_on_l2},
          {"DF452", m.week},
          {"DF453", m.ura},
          {"DF454", m.health},
          {"DF455", m.tgd * p2(-31)},
          {"DF456", m.iodc},
          {"DF457", m.long_fit ? 1 : 0}};
}

Fields named(const RawNavicEphemeris& m) {
  return {{"DF002", m.type},
          {"DF516", m.satellite},
          {"DF517", m.week},
          {"DF518", m.af0 * p2(-31)},
          {"DF519", m.af1 * p2(-43)},
          {"DF520", m.af2 * p2(-55)},
          {"DF521", m.ura},
          {"DF522", m.toc * 16.0},
          {"DF523", m.tgd * p2(-31)},
          {"DF524", m.delta_n * p2(-41)},
          {"DF525", m.iodec},
          {"DF526", m.reserved},
          {"DF527", m.l5_bad ? 1 : 0},
          {"DF528", m.s_bad ? 1 : 0},
          {"DF529", m.cuc * p2(-28)},
          {"DF530", m.cus * p2(-28)},
          {"DF531", m.cic * p2(-28)},
          {"DF532", m.cis * p2(-28)},
          {"DF533", m.crc * p2(-4)},
          {"DF534", m.crs * p2(-4)},
          {"DF535", m.idot * p2(-43)},
          {"DF536", m.m0 * p2(-31)},
          {"DF537", m.toe * 16.0},
          {"DF538", m.eccentricity * p2(-33)},
          {"DF539", m.sqrt_a * p2(-19)},
          {"DF540", m.omega0 * p2(-31)},
          {"DF541", m.omega * p2(-31)},
          {"DF542", m.omega_dot * p2(-41)},
          {"DF543", m.i0 * p2(-31)},
          {"DF544", m.spare1},
          {"DF545", m.spare2}};
}

Fields named(const RawBeidouEphemeris& m) {
  return {{"DF002", m.type},
          {"DF488", m.satellite},
          {"DF489", m.week},
          {"DF490", m.urai},
          {"DF491", m.idot * p2(-43)},
          {"DF492", m.aode},
          {"DF493", m.toc * 8.0},
          {"DF494", m.af2 * p2(-66)},
          {"DF495", m.af1 * p2(-50)},
          {"DF496", m.af0 * p2(-33)},
          {"DF497", m.aodc},
          {"DF498", m.crs * p2(-6)},
          {"DF499", m.delta_n * p2(-43)},
          {"DF500", m.m0 * p2(-31)},
          {"DF501", m.cuc * p2(-31)},
          {"DF502", m.eccentricity * p2(-33)},
          {"DF503", m.cus * p2(-31)},
          {"DF504", m.sqrt_a * p2(-19)},
          {"DF505", m.toe * 8.0},
          {"DF506", m.cic * p2(-31)},
          {"DF507", m.omega0 * p2(-31)},
          {"DF508", m.cis * p2(-31)},
          {"DF509", m.i0 * p2(-31)},
          {"DF510", m.crc * p2(-6)},
          {"DF511", m.omega * p2(-31)},
          {"DF512", m.omega_dot * p2(-43)},
          {"DF513", m.tgd1 * 0.1},
          {"DF514", m.tgd2 * 0.1},
          {"DF515", m.unhealthy ? 1 : 0}};
}

Fields named(const RawGalileoEphemeris& m) {
  Fields f{{"DF002", m.type},
           {"DF252", m.satellite},
           {"DF289", m.week},
           {"DF290", m.iodnav},
           {"DF292", m.idot * p2(-43)},
           {"DF293", m.toc * 60.0},
           {"DF294", m.af2 * p2(-59)},
           {"DF295", m.af1 * p2(-46)},
           {"DF296", m.af0 * p2(-34)},
           {"DF297", m.crs * p2(-5)},
           {"DF298", m.delta_n * p2(-43)},
           {"DF299", m.m0 * p2(-31)},
           {"DF300", m.cuc * p2(-29)},
           {"DF301", m.eccentricity * p2(-33)},
           {"DF302", m.cus * p2(-29)},
           {"DF303", m.sqrt_a * p2(-19)},
           {"DF304", m.toe * 60.0},
           {"DF305", m.cic * p2(-29)},
           {"DF306", m.omega0 * p2(-31)},
           {"DF307", m.cis * p2(-29)},
           {"DF308", m.i0 * p2(-31)},
           {"DF309", m.crc * p2(-5)},
           {"DF310", m.omega * p2(-31)},
           {"DF311", m.omega_dot * p2(-43)},
           {"DF312", m.bgd_e5a * p2(-32)}};
  const Fields tail = m.type == 1046 ? Fields{{"DF286", m.sisa},
                                              {"DF313", m.bgd_e5b * p2(-32)},
                                              {"DF316", m.e5b_health},
                                              {"DF317", m.e5b_invalid ? 1 : 0},
                                              {"DF287", m.e1b_health},
                                              {"DF288", m.e1b_invalid ? 1 : 0},
                                              {"DF001_2", m.reserved}}
                                     : Fields{{"DF291", m.sisa},
                                              {"DF314", m.e5a_health},
                                              {"DF315", m.e5a_invalid ? 1 : 0},
                                              {"DF001_7", m.reserved}};
  f.insert(tail.begin(), tail.end());
  return f;
}

Fields named(const RawGlonassEphemeris& m) {
  const auto times = [](const SignMagnitude& value, int exponent) {
    return static_cast<double>(value.value()) * p2(exponent);
  };
  return {{"DF002", m.type},
          {"DF038", m.slot},
          {"DF040", m.channel},
          {"DF104", m.almanac_healthy ? 1 : 0},
          {"DF105", m.almanac_present ? 1 : 0},
          {"DF106", m.p1},
          {"DF107", m.tk},
          {"DF108", m.bn_top_bit ? 1 : 0},
          {"DF109", m.p2 ? 1 : 0},
          {"DF110", m.tb},
          {"DF111", times(m.vx, -20)},
          {"DF112", times(m.x, -11)},
          {"DF113", times(m.ax, -30)},
          {"DF114", times(m.vy, -20)},
          {"DF115", times(m.y, -11)},
          {"DF116", times(m.ay, -30)},
          {"DF117", times(m.vz, -20)},
          {"DF118", times(m.z, -11)},
          {"DF119", times(m.az, -30)},
          {"DF120", m.p3 ? 1 : 0},
          {"DF121", times(m.gamma, 0)},
          {"DF122", m.p},
          {"DF123", m.ln_third ? 1 : 0},
          {"DF124", times(m.tau, 0)},
          {"DF125", times(m.delta_tau, 0)},
          {"DF126", m.en},
          {"DF127", m.p4 ? 1 : 0},
          {"DF128", m.ft},
          {"DF129", m.nt},
          {"DF130", m.m},
          {"DF131", m.additional ? 1 : 0},
          {"DF132", m.na},
          {"DF133", times(m.tau_c, 0)},
          {"DF134", m.n4},
          {"DF135", times(m.tau_gps, 0)},
          {"DF136", m.ln_fifth ? 1 : 0},
          {"DF001_7", m.reserved}};
}

void expect_fields(const test::Block& b, const Fields& fields) {
  EXPECT_EQ(fields.size(), b.expect.size()) << b.name;
  for (const auto& [name, value] : fields) {
    const double expected = b.out(name);
    EXPECT_NEAR(value, expected, std::abs(expected) * b.tolerance)
        << b.name << ' ' << name;
  }
}

TEST(RawEphemeris, FieldsOfFramesAreThoseListed) {
  std::map<int, int> seen;
  for (const auto& b : test::read_vectors("rtcm_ephemeris.vec")) {
    const eph_test::Bytes frame = eph_test::bytes_of_hex(b.word("frame"));
    ASSERT_TRUE(is_good_frame(frame)) << b.name;
    EXPECT_TRUE(eph_test::with_message(payload_of(frame), [&](const auto& m) {
      ++seen[m.type];
      expect_fields(b, named(m));
    })) << b.name;
  }
  const std::map<int, int> all{{1019, 2},
                               {1020, 2},
                               {1041, 1},
                               {1042, 2},
                               {1044, 1},
                               {1045, 2},
                               {1046, 2}};
  EXPECT_EQ(seen, all);
}

void expect_same_bits(const eph_test::Bytes& payload,
                      const std::string& where) {
  EXPECT_TRUE(eph_test::with_message(payload, [&](const auto& m) {
    EXPECT_EQ(encode_fields(m), payload) << where;
  })) << where;
}

TEST(RawEphemeris, WritesTheBitsItRead) {
  for (const auto& b : test::read_vectors("rtcm_ephemeris.vec")) {
    const eph_test::Bytes frame = eph_test::bytes_of_hex(b.word("frame"));
    const ByteSpan payload = payload_of(frame);
    eph_test::Bytes bytes(payload.begin(), payload.end());
    expect_same_bits(bytes, b.name);
    bytes.back() |= 1U;  // the last bit of a field or of the padding
    expect_same_bits(bytes, b.name);
    bytes.push_back(0xA5);  // what a newer edition might add
    expect_same_bits(bytes, b.name);
  }
}

// kind: published   source: RTCM 10403.3, sizes of the messages (shared checks
// section 5), 1041 from the field list
TEST(RawEphemeris, AnyShorterPayloadIsRefused) {
  const std::map<int, std::size_t> bits{{1019, 488},
                                        {1020, 360},
                                        {1041, 482},
                                        {1042, 511},
                                        {1044, 485},
                                        {1045, 496},
                                        {1046, 504}};
  for (const auto& b : test::read_vectors("rtcm_ephemeris.vec")) {
    const eph_test::Bytes frame = eph_test::bytes_of_hex(b.word("frame"));
    const ByteSpan payload = payload_of(frame);
    const int type = message_type(payload).value_or(0);
    ASSERT_EQ(payload.size(), (bits.at(type) + 7) / 8) << b.name;
    for (std::size_t size = 0; size < payload.size(); ++size) {
      EXPECT_FALSE(
          eph_test::with_message(payload.first(size), [](const auto& /*m*/) {}))
          << b.name << ", " << size << " bytes";
    }
  }
}

TEST(RawEphemeris, AValueWiderThanItsFieldIsNotWritten) {
  RawGpsEphemeris m;
  m.idot = 8192;
  EXPECT_TRUE(encode_fields(m).empty());
  m.idot = -8192;
  EXPECT_EQ(encode_fields(m).size(), 61U);
  m.satellite = 64;
  EXPECT_TRUE(encode_fields(m).empty());
}

// Every ephemeris of a capture comes back bit by bit.
std::map<int, int> expect_same_bits_in(const std::string& path) {
  std::map<int, int> seen;
  const std::set<int> types{1019, 1020, 1041, 1042, 1044, 1045, 1046};
  for (const eph_test::Bytes& payload : eph_test::payloads_of_file(path)) {
    const int type = message_type(payload).value_or(0);
    if (types.contains(type)) {
      ++seen[type];
      expect_same_bits(payload, path);
    }
  }
  return seen;
}

// Counts: an independent script over the same files.
TEST(RawEphemerisData, WritesTheBitsOfCaptures) {
  const std::string path =
      STILLPOINT_DATA_OR_SKIP("rtcm/msm7-week-rollover.rtcm3.gz");
  using Counts = std::map<int, int>;
  EXPECT_EQ(expect_same_bits_in(path),
            (Counts{{1019, 113}, {1020, 38}, {1044, 38}, {1045, 113}}));
  const auto in = [](const std::string& name) {
    return expect_same_bits_in(test::data_path("rtcm/" + name));
  };
  EXPECT_EQ(in("ntrip2-chunked-eph.http.dat"),
            (Counts{{1019, 96},
                    {1020, 75},
                    {1042, 122},
                    {1044, 3},
                    {1045, 72},
                    {1046, 72}}));
  EXPECT_EQ(in("msm7-five-systems.rtcm3.gz"),
            (Counts{{1019, 1}, {1020, 1}, {1044, 1}, {1045, 1}}));
  EXPECT_EQ(in("mixed-station-stream.rtcm3"),
            (Counts{{1019, 1}, {1020, 1}, {1042, 1}, {1045, 1}, {1046, 1}}));
  EXPECT_EQ(in("eph-1042.hex"), (Counts{{1042, 5}}));
  EXPECT_EQ(in("eph-1044.hex"), (Counts{{1044, 4}}));
  EXPECT_EQ(in("eph-1045.hex"), (Counts{{1045, 4}}));
  EXPECT_EQ(in("eph-1046.hex"), (Counts{{1046, 8}}));
}

}  // namespace
}  // namespace stillpoint::rtcm
