#include "stillpoint/intake/live_facts.h"

#include <gtest/gtest.h>

#include <fstream>
#include <iterator>

#include "stillpoint/gnss/gnss_test_support.h"
#include "stillpoint/intake/intake_test_support.h"
#include "stillpoint/intake/survey.h"
#include "stillpoint/rtcm/ephemeris.h"
#include "stillpoint/rtcm/legacy_encode.h"
#include "tests/support/test_data.h"

namespace stillpoint::intake {
namespace {

const StreamReaderOptions kOptions{.decoder = {.day = {}, .era = kStart},
                                   .framings = {}};
const std::size_t kGps = static_cast<std::size_t>(System::kGps);

GnssTime at(double t_s) {
  return kStart + Duration{t_s};
}

Bytes ephemeris_frame(int number, double toe_s) {
  const KeplerEphemeris e =
      test::kepler_set({System::kGps, static_cast<std::uint8_t>(number)},
                       NavMessage::kLnav,
                       at(toe_s));
  return rtcm::make_frame(rtcm::encode_fields(*rtcm::to_raw_gps(e)));
}

// A station at 1 Hz, each epoch received 0.1 s later.
void run(LiveFacts& facts, int from_s, int until_s) {
  for (int t = from_s; t < until_s; ++t) {
    Bytes bytes = epoch_frames(t, kTwoSystems);
    if (t % 5 == 0) {
      append(bytes, position_frame(kPoint, 0.1));
      append(bytes, antenna_frame("SPDEMO-A1 NONE"));
    }
    facts.push(bytes, at(t + 0.1));
    facts.tick(at(t + 0.9));
  }
}

// kind: cross, the stream as it was made
// tolerance: 0.0001 m, the step of 1006
TEST(LiveFacts, SaysWhatAStationSends) {
  LiveFacts facts(kOptions);
  run(facts, 0, 100);
  facts.push(text(nmea::frame_sentence("GNGGA,120000.00,,,,,0,00,99.9,,,,,,")),
             at(99.95));
  facts.push(Bytes(7, 0x37), at(99.96));
  facts.push(rtcm::make_frame(Bytes{0x3E, 0xD0, 0x05}), at(99.97));
  const LiveSnapshot s = facts.snapshot(at(99.98));
  EXPECT_EQ(s.message_list, "1005,1006(5),1033(5),1077(1),1087(1)");
  EXPECT_EQ(s.messages[3].count, 100U);
  EXPECT_EQ(s.messages[3].rate_hz, 1.0);
  EXPECT_EQ(s.messages[3].seen, at(99.1));
  EXPECT_EQ(s.station.id, 5);
  EXPECT_NEAR(s.station.arp_m->x_m, kPoint.x_m, 1e-4);
  EXPECT_EQ(s.station.antenna_height_m, 0.1);
  EXPECT_EQ(s.position_type, 1006);
  EXPECT_EQ(s.station.antenna, "SPDEMO-A1 NONE");
  EXPECT_EQ(s.station.receiver, "SPDEMO-R1");
  EXPECT_EQ(s.nav_system, "GPS+GLO");
  EXPECT_EQ(s.carrier, 2);
  ASSERT_EQ(s.nmea.size(), 1U);
  EXPECT_EQ(s.nmea[0].type, "GGA");
  EXPECT_EQ(s.skipped_bytes, 7U);
  EXPECT_EQ(s.malformed, 1U);
  EXPECT_TRUE(s.week_known);
  EXPECT_EQ(s.quality.epochs.received, 100U);
  EXPECT_EQ(s.quality.epochs.missed, 0U);
  EXPECT_EQ(s.quality.interval_s, 1);
  EXPECT_EQ(s.quality.last, at(99));
  EXPECT_EQ(s.quality.satellites[kGps], 1);
  EXPECT_EQ(s.quality.signals.size(), 4U);
}

TEST(LiveFacts, NothingIsKnownOfNothing) {
  const LiveFacts facts(kOptions);
  const LiveSnapshot s = facts.snapshot(at(0));
  EXPECT_EQ(s.message_list, "");
  EXPECT_EQ(s.nav_system, "");
  EXPECT_EQ(s.carrier, 0);
  EXPECT_FALSE(s.station.arp_m || s.station.id || s.station.antenna);
  EXPECT_FALSE(s.quality.last || s.quality.age_s);
  EXPECT_FALSE(s.week_known);
}

TEST(LiveFacts, A1005BetweenTakesNoHeightAway) {
  LiveFacts facts(kOptions);
  facts.push(position_frame(kPoint, 0.1), at(0));
  facts.push(position_frame(kPoint), at(1));
  EXPECT_EQ(facts.snapshot(at(1)).station.antenna_height_m, 0.1);
  EXPECT_EQ(facts.snapshot(at(1)).position_type, 1005);
}

// Codes alone are no carrier.
TEST(LiveFacts, OneBandOfPhasesIsCarrierOne) {
  LiveFacts facts(kOptions);
  Observation code_only = row("2W", 2e7);
  code_only.phase_cyc = kMissing;
  for (int t = 0; t < 3; ++t) {
    facts.push(epoch_frames(t,
                            {{{System::kGps, 7}, {row("1C", 2e7), code_only}},
                             {{System::kGalileo, 3}, {row("5Q", 2e7)}}}),
               at(t));
  }
  facts.finish();
  const LiveSnapshot s = facts.snapshot(at(3));
  EXPECT_EQ(s.carrier, 1);
  EXPECT_EQ(s.nav_system, "GPS+GAL");
}

TEST(LiveFacts, EpochsGoOnToTheCaller) {
  std::vector<GnssTime> times;
  LiveFacts facts(
      kOptions, [&times](const Epoch& epoch) { times.push_back(epoch.time); });
  run(facts, 0, 3);
  EXPECT_EQ(times, (std::vector<GnssTime>{at(0), at(1), at(2)}));
}

TEST(LiveFacts, EphemeridesComeFromBothStreamsAndFiles) {
  LiveFacts facts(kOptions);
  run(facts, 0, 2);
  facts.push(ephemeris_frame(7, 0), at(2));
  EXPECT_EQ(facts.snapshot(at(2)).ephemerides[kGps], 1);
  Bytes second = ephemeris_frame(8, 0);
  append(second, epoch_frames(500, kTwoSystems));  // of another station
  append(second, epoch_frames(501, kTwoSystems));
  append(second, position_frame(Ecef{1, 2, 3}));
  append(second, Bytes{0xD3, 0, 0, 1, 2, 3});
  facts.push_navigation(second, at(2));
  NavigationData file;
  file.kepler.push_back(
      test::kepler_set({System::kGps, 9}, NavMessage::kLnav, at(0)));
  facts.add_navigation(file, at(2));
  LiveSnapshot s = facts.snapshot(at(2));
  EXPECT_EQ(s.ephemerides[kGps], 3);
  EXPECT_EQ(s.navigation_bytes, second.size());
  EXPECT_EQ(s.navigation_bad_crc, 1U);
  EXPECT_EQ(s.bad_crc, 0U);
  EXPECT_EQ(s.quality.epochs.received, 2U);  // only those of the station
  EXPECT_NEAR(s.station.arp_m->x_m, kPoint.x_m, 1e-4);
  EXPECT_TRUE(facts.orbits().state({System::kGps, 8}, at(0)));
  // Two hours on, without another epoch, they are worth nothing.
  facts.tick(at(7300));
  EXPECT_EQ(facts.snapshot(at(7300)).ephemerides[kGps], 0);
}

TEST(LiveFacts, MinutesAreOfTheEpochs) {
  LiveFacts facts(kOptions);
  run(facts, 0, 70);
  double epochs = 0;
  for (const quality::MinuteRow& row : facts.take_minutes(at(70))) {
    EXPECT_EQ(row.minute, at(0));
    epochs += row.name == "epochs_received_count" ? row.sum : 0;
  }
  EXPECT_EQ(epochs, 60);
}

TEST(LiveFacts, MinutesWaitUntilTheWeekIsKnown) {
  LiveFacts facts(kOptions);
  for (int t = 0; t < 70; ++t) {
    facts.push(epoch_frames(t, kTwoSystems), std::nullopt);
  }
  EXPECT_TRUE(facts.take_minutes(at(70)).empty());
  facts.push(ephemeris_frame(7, 0), std::nullopt);
  const auto rows = facts.take_minutes(at(70));
  ASSERT_FALSE(rows.empty());
  EXPECT_EQ(rows[0].minute, at(0));
  const LiveSnapshot s = facts.snapshot({});
  EXPECT_EQ(s.ephemerides[kGps], 1);
  const auto epochs = s.quality.epochs;
  EXPECT_EQ(epochs.missed + epochs.jumps + epochs.backward, 0U);
}

// The day of a GLONASS set is not known without the week.
TEST(LiveFacts, AGlonassSetWithoutTheWeekIsLeftOut) {
  // A quarter of an hour of UTC, as these sets have.
  const auto raw = rtcm::to_raw_glonass(test::glonass_set(3, at(918)));
  ASSERT_TRUE(raw) << raw.error().text();
  const Bytes set = rtcm::make_frame(rtcm::encode_fields(*raw));
  // The week of its own that a stream counts from while nothing tells.
  const GnssTime own = GnssTime::from_gps_week(2400, at(918).tow_s());
  LiveFacts blind(kOptions), clocked(kOptions);
  blind.push(epoch_frames(0, kTwoSystems), std::nullopt);
  blind.push(set, std::nullopt);
  clocked.push(set, at(0));
  const SatId sat{System::kGlonass, 3};
  for (const GnssTime t : {at(918), own}) {
    EXPECT_EQ(blind.orbits().state(sat, t).error(), NoState::kUnknownSatellite);
  }
  EXPECT_TRUE(clocked.orbits().state(sat, at(918)));
}

Bytes legacy_frames(double t_s) {
  Epoch epoch;
  epoch.time = at(t_s);
  epoch.satellites.push_back({{System::kGps, 7}, 2, 0});
  epoch.observations = {row("1C", 2.1e7), row("2W", 2.1e7)};
  return rtcm::make_frame(
      rtcm::encode_fields(*rtcm::to_raw_legacy_gps(1004, epoch, {})));
}

TEST(LiveFacts, MessagesBeforeMsmCountOnlyWhereMsmIsSilent) {
  LiveFacts facts(kOptions);
  const auto received = [&facts] {
    return facts.snapshot(at(0)).quality.epochs.received;
  };
  for (int t = 0; t < 10; ++t) {
    Bytes bytes = epoch_frames(t, kTwoSystems);
    append(bytes, legacy_frames(t + 0.6));
    facts.push(bytes, at(t));
  }
  facts.tick(at(11));
  EXPECT_EQ(received(), 10U);
  for (int t = 10; t < 100; ++t) {
    facts.push(legacy_frames(t + 0.6), at(t));
  }
  facts.tick(at(101));
  EXPECT_EQ(received(), 10U + 31U);  // from 60 s after 9 on: 69.6 … 99.6
}

TEST(LiveFacts, DamagedBytesAreCounted) {
  LiveFacts facts(kOptions);
  Bytes bytes = epoch_frames(0, kTwoSystems);
  bytes[20] ^= 0x10;
  facts.push(bytes, at(0));
  facts.finish();
  EXPECT_GE(facts.snapshot(at(0)).bad_crc, 1U);
}

Bytes file_bytes(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

// kind: cross   the survey that `listen` prints
TEST(LiveFacts, CountsACaptureAsTheSurveyDoes) {
  const std::string path =
      STILLPOINT_DATA_OR_SKIP("rtcm/legacy-beside-msm7.rtcm3");
  const Bytes bytes = file_bytes(path);
  std::map<GnssTime, std::size_t> rows;
  LiveFacts facts(kOptions, [&rows](const Epoch& epoch) {
    rows[epoch.time] = epoch.observations.size();
  });
  Survey survey(kOptions);
  for (std::size_t i = 0; i < bytes.size(); i += 100) {
    const auto piece = ByteSpan(bytes).subspan(
        i, std::min<std::size_t>(100, bytes.size() - i));
    facts.push(piece, std::nullopt);
    survey.push(piece);
  }
  facts.finish();
  survey.finish();
  const LiveSnapshot s = facts.snapshot({});
  const SurveyReport r = survey.report({});
  EXPECT_EQ(s.bytes, r.bytes);
  EXPECT_EQ(s.bad_crc, r.bad_crc);
  EXPECT_EQ(s.malformed, r.malformed);
  EXPECT_EQ(s.skipped_bytes, r.skipped_bytes);
  ASSERT_EQ(s.messages.size(), r.messages.size());
  for (std::size_t i = 0; i < s.messages.size(); ++i) {
    EXPECT_EQ(s.messages[i].type, r.messages[i].type);
    EXPECT_EQ(s.messages[i].count, r.messages[i].count);
    EXPECT_EQ(s.messages[i].bytes, r.messages[i].bytes);
    EXPECT_EQ(s.messages[i].decoded, r.messages[i].decoded);
  }
  EXPECT_EQ(s.quality.epochs.received, 34U);  // as the data's README says
  EXPECT_EQ(s.quality.epochs.received, r.epochs.count);
  EXPECT_EQ(s.quality.epochs.doubled + s.quality.epochs.backward, 0U);
  EXPECT_EQ(s.quality.interval_s, r.epochs.interval_s);
  EXPECT_EQ(s.station.id, r.station.id);
  EXPECT_EQ(s.message_list.substr(0, 7), "1004(1)");
  EXPECT_EQ(rows.size(), 34U);
}

}  // namespace
}  // namespace stillpoint::intake
