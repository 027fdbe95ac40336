#include "stillpoint/simulate/output/rtcm_stream.h"

#include <gtest/gtest.h>

#include <cmath>
#include <map>

#include "stillpoint/profile/splitter.h"
#include "stillpoint/rtcm/decoder.h"
#include "stillpoint/rtcm/frame.h"
#include "stillpoint/simulate/simulate_test_support.h"

namespace stillpoint::simulate {
namespace {

class Collector final : public rtcm::DecoderSink, public profile::FrameSink {
 public:
  Collector() : decoder_({.day = test::kStart, .era = test::kStart}, *this) {}
  void push(ByteSpan bytes) { splitter_.push(bytes, *this); }
  void finish() {
    splitter_.finish(*this);
    decoder_.finish();
  }

  std::vector<Epoch> epochs;
  std::map<SatId, int> sets;
  int positions = 0, antennas = 0, biases = 0;

 private:
  void on_frame(const profile::StreamFrame& frame) override {
    EXPECT_EQ(decoder_.push(rtcm::payload_of(frame.bytes)),
              rtcm::Decoded::kValues);
  }
  void on_epoch(const Epoch& epoch, rtcm::EpochOrigin) override {
    epochs.push_back(epoch);
  }
  void on_ephemeris(const KeplerEphemeris& e) override { ++sets[e.sat]; }
  void on_ephemeris(const StateEphemeris& e, bool) override { ++sets[e.sat]; }
  void on_position(const rtcm::StationPosition&, int) override { ++positions; }
  void on_antenna(const rtcm::AntennaDescription&, int) override { ++antennas; }
  void on_glonass_biases(const rtcm::GlonassBiases&) override { ++biases; }

  profile::StreamSplitter splitter_;
  rtcm::Decoder decoder_;
};

// kind: cross   source: RTCM 10403.3, steps of MSM7: code 2^-29 ms of light
// (0.56 mm), phase 2^-31 ms (0.14 mm), rate 0.1 mm/s, C/N0 1/16 dB-Hz
// tolerance: half a step of code; phase the same up to whole cycles, which the
// message shifts arc by arc
TEST(RtcmStream, DecodesToWhatWasMeasured) {
  Scenario scenario = test::small_world(EffectSet::all());
  scenario.receivers.front().slips_per_hour = 1;
  const Sky sky(scenario);
  SimulatedReceiver receiver(sky, 0);
  RtcmStream stream(sky, scenario.receivers.front(), {});
  Collector collector;
  std::vector<Epoch> measured;
  for (int t = 0; t < 120; ++t) {
    Epoch epoch;
    ASSERT_TRUE(receiver.observe(t, epoch, nullptr));
    std::vector<std::uint8_t> bytes;
    ASSERT_TRUE(stream.add(epoch, bytes));
    collector.push(bytes);
    measured.push_back(epoch);
  }
  collector.finish();
  ASSERT_EQ(collector.epochs.size(), measured.size());
  using Key = std::pair<SatId, SignalCode>;
  std::map<Key, double> shift;
  std::size_t compared = 0;
  for (std::size_t k = 0; k < measured.size(); ++k) {
    std::map<Key, Observation> got;
    for (const SatRows& rows : collector.epochs[k].satellites) {
      for (const Observation& o : collector.epochs[k].rows(rows)) {
        got[{rows.sat, o.signal}] = o;
      }
    }
    EXPECT_EQ(collector.epochs[k].time, measured[k].time);
    for (const SatRows& rows : measured[k].satellites) {
      for (const Observation& o : measured[k].rows(rows)) {
        const Key key{rows.sat, o.signal};
        ASSERT_TRUE(got.contains(key));
        const Observation& g = got.at(key);
        EXPECT_NEAR(g.code_m, o.code_m, 0.0003);
        EXPECT_NEAR(g.doppler_hz, o.doppler_hz, 0.0003);
        EXPECT_NEAR(g.cn0_dbhz, o.cn0_dbhz, 0.032);
        EXPECT_EQ(g.lli & 1, o.lli & 1) << k << rows.sat.text();
        const double off = g.phase_cyc - o.phase_cyc;
        if (!shift.contains(key) || (o.lli & 1) != 0) {
          shift[key] = std::round(off);
        }
        EXPECT_NEAR(off, shift[key], 0.0006);
        ++compared;
      }
    }
  }
  EXPECT_GT(compared, 5000U);
}

TEST(RtcmStream, SendsEverySetAndWhatTheStationIs) {
  const Scenario scenario = test::small_world(EffectSet::all());
  const Sky sky(scenario);
  SimulatedReceiver receiver(sky, 0);
  RtcmStream stream(sky, scenario.receivers.front(), {});
  Collector collector;
  Epoch epoch;
  for (int t = 0; t < 60; ++t) {
    std::vector<std::uint8_t> bytes;
    receiver.observe(t, epoch, nullptr);
    ASSERT_TRUE(stream.add(epoch, bytes));
    collector.push(bytes);
  }
  collector.finish();
  for (const SatRows& rows : epoch.satellites) {
    EXPECT_GE(collector.sets[rows.sat], 2) << rows.sat.text();
  }
  EXPECT_EQ(collector.positions, 6);
  EXPECT_EQ(collector.antennas, 12);  // 1008 and 1033
  EXPECT_EQ(collector.biases, 6);
}

TEST(RtcmStream, SendsOnlyWhatWasAskedFor) {
  const Scenario scenario = test::small_world();
  const Sky sky(scenario);
  SimulatedReceiver receiver(sky, 0);
  RtcmStream stream(sky, scenario.receivers.front(), {.level = 4});
  stream.send_only({1077});
  Epoch epoch;
  receiver.observe(0, epoch, nullptr);
  std::vector<std::uint8_t> bytes;
  ASSERT_TRUE(stream.add(epoch, bytes));
  EXPECT_TRUE(rtcm::is_good_frame(bytes));
  EXPECT_EQ(rtcm::message_type(rtcm::payload_of(bytes)), 1074);
}

}  // namespace
}  // namespace stillpoint::simulate
