// A recording made up, exported, and read back.
#include "stillpoint/intake/export/export_archive.h"

#include <gtest/gtest.h>

#include "stillpoint/intake/export/export_test_support.h"
#include "stillpoint/intake/stream_reader.h"

namespace stillpoint::intake {
namespace {

using namespace export_test;

TEST(ExportArchive, WritesTheDayWithWhatTheStationSays) {
  Recording recording;
  PaperBase base;
  recording.add_epochs(base, kTen, 20);
  recording.add(PaperBase::position(kArp, 0.25), kTen + Duration{20});
  recording.add(PaperBase::antenna("SPDEMO-A1       NONE"),
                kTen + Duration{20});
  recording.add_epochs(base, kTen + Duration{20}, 5);
  const Exported done = exported(recording, request());
  EXPECT_EQ(done.names(), std::vector{kDayName});
  const ReadBack back = done.observations(kDayName);
  EXPECT_EQ(back.epochs.size(), 25U);
  EXPECT_EQ(back.header.marker_name, "LHOL00XXX");
  EXPECT_EQ(back.header.antenna_type, "SPDEMO-A1       NONE");
  EXPECT_EQ(back.header.receiver_type, "SPDEMO-R1");
  EXPECT_EQ(back.header.antenna_delta_enu_m.u_m, 0.25);
  EXPECT_EQ(back.header.glonass_channels, (std::map<SatId, int>{{kR03, 5}}));
  EXPECT_EQ(back.header.first_obs, kTen);
  EXPECT_EQ(back.header.last_obs, kTen + Duration{24});
  const ExportedFile& file = done.answer.files.at(0);
  EXPECT_EQ(file.records, 25U);
  EXPECT_EQ(file.satellites[0], 1);
  EXPECT_EQ(file.satellites[1], 1);
  EXPECT_EQ(file.bytes,
            (std::vector<StreamRange>{{0x4C484F4C, 0, recording.bytes()}}));
  EXPECT_TRUE(done.answer.gaps.empty());
  EXPECT_TRUE(done.answer.warnings.empty());
}

// kind: cross   the values of the stream's own decoder
// tolerance: half of the last printed decimal, 0.0005
TEST(ExportArchive, ValuesAreThoseOfTheStream) {
  Recording recording;
  PaperBase base, same;
  recording.add_epochs(base, kTen, 3);
  const ReadBack back = exported(recording, request()).observations(kDayName);
  class Decoded final : public StreamSink {
   public:
    void on_epoch(const Epoch& e, rtcm::EpochOrigin) override {
      epochs.push_back(e);
    }
    std::vector<Epoch> epochs;
  } decoded;
  StreamReader reader({.decoder = {.day = kTen, .era = kTen}, .framings = {}},
                      decoded);
  for (int s = 0; s < 3; ++s) {
    reader.push(same.epoch(kTen + Duration{static_cast<double>(s)}));
  }
  reader.finish();
  ASSERT_EQ(back.epochs.size(), 3U);
  ASSERT_EQ(decoded.epochs.size(), 3U);
  for (std::size_t i = 0; i < 3; ++i) {
    EXPECT_EQ(back.epochs[i].time, decoded.epochs[i].time);
    for (const auto& [sat, signal] : std::vector<std::pair<SatId, const char*>>{
             {kG07, "1C"}, {kG07, "2W"}, {kR03, "1C"}, {kR03, "2C"}}) {
      const Observation a = row_of(back.epochs[i], sat, signal);
      const Observation b = row_of(decoded.epochs[i], sat, signal);
      EXPECT_NEAR(a.code_m, b.code_m, 0.0005);
      EXPECT_NEAR(a.phase_cyc, b.phase_cyc, 0.0005);
      EXPECT_NEAR(a.doppler_hz, b.doppler_hz, 0.0005);
      EXPECT_NEAR(a.cn0_dbhz, b.cn0_dbhz, 0.0005);
      EXPECT_EQ(a.lli, b.lli);
    }
  }
}

TEST(ExportArchive, EphemeridesGoToTheFileOfTheirTime) {
  Recording recording;
  PaperBase base;
  const GnssTime toe = *parse_time("2026-06-02T12:00:00");
  ExportRequest r = request();
  r.length = PeriodLength::kHour;
  recording.add_epochs(base, kTen - Duration{10}, 5);
  for (int i = 0; i < 3; ++i) {
    recording.add(PaperBase::ephemeris(7, toe), kTen - Duration{5});
  }
  recording.add_epochs(base, kTen - Duration{5}, 10);
  recording.add(PaperBase::ephemeris(7, toe), kTen + Duration{5});
  recording.add(PaperBase::ephemeris(8, toe), kTen + Duration{5});
  recording.add_epochs(base, kTen + Duration{5}, 2);
  for (const auto version : {rinex::Version::k305, rinex::Version::k402}) {
    r.naming.version = version;
    const Exported done = exported(recording, r);
    const auto nine =
        done.navigation("LHOL00XXX_S_20261530900_01H_MN.rnx").data.kepler;
    const auto ten =
        done.navigation("LHOL00XXX_S_20261531000_01H_MN.rnx").data.kepler;
    ASSERT_EQ(nine.size(), 1U);
    EXPECT_EQ(nine[0].toe, toe);
    EXPECT_EQ(ten.size(), 2U);
    EXPECT_EQ(done.answer.files.size(), 4U);
  }
}

TEST(ExportArchive, VersionTwoHasAFileASystem) {
  Recording recording;
  PaperBase base;
  recording.add(PaperBase::ephemeris(7, kTen), kTen);
  recording.add_epochs(base, kTen, 3);
  ExportRequest r = request();
  r.naming.version = rinex::Version::k211;
  const Exported done = exported(recording, r);
  EXPECT_EQ(done.names(),
            (std::vector<std::string>{"lhol1530.26o", "lhol1530.26n"}));
  EXPECT_EQ(done.observations("lhol1530.26o").epochs.size(), 3U);
  EXPECT_EQ(done.navigation("lhol1530.26n").data.kepler.size(), 1U);
}

TEST(ExportArchive, HatanakaHoldsTheSame) {
  Recording recording;
  PaperBase base;
  recording.add_epochs(base, kTen, 30);
  const ReadBack plain = exported(recording, request()).observations(kDayName);
  ExportRequest r = request();
  r.naming.hatanaka = true;
  const ReadBack compact =
      exported(recording, r)
          .observations("LHOL00XXX_S_20261530000_01D_01S_MO.crx");
  EXPECT_TRUE(compact.header.was_compact);
  ASSERT_EQ(plain.epochs.size(), compact.epochs.size());
  for (std::size_t i = 0; i < plain.epochs.size(); ++i) {
    EXPECT_EQ(row_of(plain.epochs[i], kR03, "2C").phase_cyc,
              row_of(compact.epochs[i], kR03, "2C").phase_cyc);
  }
}

TEST(ExportArchive, OlderMessagesBesideMsmAreLeftOut) {
  Recording recording;
  PaperBase base;
  for (int s = 0; s < 10; ++s) {
    const GnssTime time = kTen + Duration{static_cast<double>(s)};
    recording.add(PaperBase::older(time), time);
    recording.add(base.epoch(time), time);
  }
  const Exported done = exported(recording, request());
  EXPECT_EQ(done.observations(kDayName).epochs.size(), 10U);
  EXPECT_FALSE(done.warns("epochs_out_of_order"));
  EXPECT_FALSE(done.warns("older_messages_left_out"));
}

TEST(ExportArchive, OlderMessagesAloneMakeAFile) {
  Recording recording;
  for (int s = 0; s < 10; ++s) {
    const GnssTime time = kTen + Duration{static_cast<double>(s)};
    recording.add(PaperBase::older(time), time);
  }
  EXPECT_EQ(exported(recording, request()).observations(kDayName).epochs.size(),
            10U);
}

// A receiver that changed from the one to the other at midnight.
TEST(ExportArchive, EachFileIsOfOneKindOfMessages) {
  const GnssTime midnight = *parse_time("2026-06-03");
  Recording recording;
  PaperBase base;
  for (int s = -5; s < 0; ++s) {
    const GnssTime time = midnight + Duration{static_cast<double>(s)};
    recording.add(PaperBase::older(time), time);
  }
  recording.add_epochs(base, midnight + Duration{120}, 5);
  const Exported done = exported(recording, request());
  ASSERT_EQ(done.names().size(), 2U);
  EXPECT_EQ(times_of(done.observations(done.names()[0]), midnight),
            (std::vector<double>{-5, -4, -3, -2, -1}));
  EXPECT_EQ(done.observations(done.names()[1]).epochs.size(), 5U);
}

TEST(ExportArchive, WhatTheOwnerSaysStandsInTheFile) {
  Recording recording;
  PaperBase base;
  recording.add(PaperBase::position(kArp, 0.25), kTen);
  recording.add(PaperBase::antenna("SPDEMO-A1       NONE"), kTen);
  recording.add_epochs(base, kTen, 3);
  ExportRequest r = request();
  r.own.observer = "growers";
  r.own.agency = "Larch Hollow Growers";
  r.own.marker_number = "LHOL-1";
  r.own.antenna = "SPDEMO-A2 NONE";
  const Exported done = exported(recording, r);
  const ReadBack back = done.observations(kDayName);
  EXPECT_EQ(back.header.marker_number, "LHOL-1");
  EXPECT_EQ(back.header.antenna_type, "SPDEMO-A2       NONE");
  EXPECT_NE(
      done.files.at(kDayName).find("growers             Larch Hollow Growers"),
      std::string::npos);
  EXPECT_TRUE(done.warns("description_differs"));
}

}  // namespace
}  // namespace stillpoint::intake
