#include "stillpoint/rtcm/decoder.h"

#include <gtest/gtest.h>

#include <vector>

#include "stillpoint/rtcm/ephemeris.h"
#include "stillpoint/rtcm/frame.h"
#include "stillpoint/rtcm/msm_encoder.h"
#include "stillpoint/rtcm/raw_station.h"

namespace stillpoint::rtcm {
namespace {

constexpr int kWeek = 2340;
const GnssTime kT = GnssTime::from_gps_week(kWeek, 345'600);

struct Seen final : DecoderSink {
  void on_epoch(const Epoch& epoch, EpochOrigin origin) override {
    times.push_back(epoch.time);
    known.push_back(origin.week_known);
  }
  void on_ephemeris(const KeplerEphemeris& e) override { sets.push_back(e); }
  void on_position(const StationPosition& p, int type) override {
    position = p;
    position_type = type;
  }
  void on_week_moved(int weeks) override { moved += weeks; }

  std::vector<GnssTime> times;
  std::vector<bool> known;
  std::vector<KeplerEphemeris> sets;
  std::optional<StationPosition> position;
  int position_type = 0, moved = 0;
};

std::vector<std::uint8_t> observations(GnssTime t) {
  Epoch epoch;
  epoch.time = t;
  Observation o;
  o.signal = {'1', 'C'};
  o.code_m = 2.2e7;
  epoch.satellites.push_back({{System::kGps, 7}, 1, 0});
  epoch.observations.push_back(o);
  return encode_msm((*MsmEncoder({}).encode(epoch, {}))[0]);
}

std::vector<std::uint8_t> ephemeris(GnssTime toe) {
  KeplerEphemeris e;
  e.sat = {System::kGps, 7};
  e.toc = e.toe = toe;
  e.sqrt_a_sqrt_m = 5153.6;
  e.eccentricity = 0.01;
  e.accuracy_m = 2;
  return encode_fields(*to_raw_gps(e));
}

std::vector<std::uint8_t> from_number(unsigned type) {
  return {static_cast<std::uint8_t>(type >> 4),
          static_cast<std::uint8_t>(type << 4 & 0xF0U)};
}

// Near enough for weeks modulo 1024, and far enough to be no help otherwise.
const DecoderOptions kOptions{.day = {},
                              .era = GnssTime::from_gps_week(kWeek + 300, 0)};

TEST(Decoder, AFileWithoutEphemeridesHasNoWeek) {
  Seen seen;
  Decoder decoder(kOptions, seen);
  EXPECT_EQ(decoder.push(observations(kT)), Decoded::kValues);
  decoder.finish();
  ASSERT_EQ(seen.times.size(), 1U);
  EXPECT_FALSE(seen.known[0]);
  EXPECT_EQ(seen.times[0].tow_s(), kT.tow_s());
  EXPECT_FALSE(decoder.week_known());
}

TEST(Decoder, AnEphemerisTellsTheWeekOfEpochsBeforeAndAfter) {
  Seen seen;
  Decoder decoder(kOptions, seen);
  decoder.push(observations(kT));
  decoder.push(observations(kT + Duration{1}));
  ASSERT_EQ(seen.times.size(), 2U);
  EXPECT_FALSE(seen.known[1]);
  EXPECT_EQ(decoder.push(ephemeris(kT + Duration{7200})), Decoded::kValues);
  EXPECT_EQ(seen.times[0].ns() + seen.moved * GnssTime::kWeekNs, kT.ns());
  decoder.push(observations(kT + Duration{2}));
  ASSERT_EQ(seen.times.size(), 3U);
  EXPECT_EQ(seen.times[2], kT + Duration{2});
  EXPECT_TRUE(seen.known[2]);
  ASSERT_EQ(seen.sets.size(), 1U);
  EXPECT_EQ(seen.sets[0].toe, kT + Duration{7200});
}

TEST(Decoder, ASetOfTheNextWeekIsReadOnItsSideOfTheEdge) {
  // Sent at the end of a week, for the first hours of the next.
  const GnssTime t = GnssTime::from_gps_week(kWeek, 603'000);
  auto raw = *to_raw_gps([] {
    KeplerEphemeris e;
    e.sat = {System::kGps, 7};
    e.toc = e.toe = GnssTime::from_gps_week(kWeek + 1, 0);
    e.sqrt_a_sqrt_m = 5153.6;
    return e;
  }());
  raw.week = kWeek % 1024;
  Seen seen;
  Decoder decoder(kOptions, seen);
  decoder.push(observations(t));
  decoder.push(encode_fields(raw));
  decoder.finish();
  EXPECT_EQ(seen.sets[0].toe, GnssTime::from_gps_week(kWeek + 1, 0));
  EXPECT_EQ(seen.times[0], t);
}

TEST(Decoder, ANamedDayTellsTheWeek) {
  Seen seen;
  DecoderOptions options = kOptions;
  options.day = kT + Duration{40'000};
  Decoder decoder(options, seen);
  decoder.push(observations(kT));
  decoder.finish();
  EXPECT_EQ(seen.times[0], kT);
  EXPECT_TRUE(seen.known[0]);
}

TEST(Decoder, TheReceiveTimeTellsTheWeekOfALiveStream) {
  Seen seen;
  Decoder decoder(kOptions, seen);
  decoder.push(observations(kT), kT + Duration{0.2});
  decoder.tick(kT + Duration{1.5});
  ASSERT_EQ(seen.times.size(), 1U);
  EXPECT_EQ(seen.times[0], kT);
}

TEST(Decoder, TheWeekRollsOver) {
  Seen seen;
  Decoder decoder(kOptions, seen);
  const GnssTime end = GnssTime::from_gps_week(kWeek + 1, 0);
  for (int i = -2; i < 3; ++i) {
    decoder.push(observations(end + Duration{static_cast<double>(i)}),
                 end + Duration{i + 0.1});
  }
  decoder.finish();
  ASSERT_EQ(seen.times.size(), 5U);
  for (std::size_t i = 0; i + 1 < 5; ++i) {
    EXPECT_EQ((seen.times[i + 1] - seen.times[i]).s, 1);
  }
}

TEST(Decoder, OtherTypesAreOpaqueAndShortOnesMalformed) {
  Seen seen;
  Decoder decoder(kOptions, seen);
  RawStationPosition raw;
  raw.type = 1006;
  raw.x = 11141045999;
  auto payload = encode_fields(raw);
  EXPECT_EQ(decoder.push(payload), Decoded::kValues);
  EXPECT_EQ(seen.position_type, 1006);
  payload.pop_back();
  EXPECT_EQ(decoder.push(payload), Decoded::kMalformed);
  EXPECT_EQ(decoder.push(from_number(4095)), Decoded::kOpaque);
  EXPECT_EQ(decoder.push({}), Decoded::kOpaque);
  auto msm = observations(kT);
  msm.resize(20);
  EXPECT_EQ(decoder.push(msm), Decoded::kMalformed);
  EXPECT_TRUE(is_decoded_type(1077));
  EXPECT_FALSE(is_decoded_type(1060));
}

}  // namespace
}  // namespace stillpoint::rtcm
