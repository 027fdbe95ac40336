// A real station-day through MSM7 and back.
#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <map>

#include "stillpoint/geo/coords.h"
#include "stillpoint/pack/byte_stream.h"
#include "stillpoint/rinex/observation_reader.h"
#include "stillpoint/rtcm/decoder.h"
#include "stillpoint/rtcm/frame.h"
#include "stillpoint/rtcm/msm_encoder.h"
#include "stillpoint/rtcm/msm_signals.h"
#include "tests/support/test_data.h"

namespace stillpoint {
namespace {

constexpr double kLightMsM = kSpeedOfLightMps / 1000;
// Half a step of each field (RTCM 10403.3: DF405 2^-29 ms, DF406 2^-31 ms,
// DF404 1e-4 m/s, DF408 2^-4 dB-Hz), and a little for binary fractions.
const double kCodeM = std::ldexp(kLightMsM, -30) + 1e-7;
const double kPhaseM = std::ldexp(kLightMsM, -32) + 1e-7;
constexpr double kRateMps = 0.5e-4 + 1e-9;
// Rates of one satellite that lie this far apart share a whole number of m/s
// (DF399) from which all are within reach (DF404: 1.6383 m/s either way).
constexpr double kRateReachMps = 2 * 1.6383 - 1;
constexpr double kCn0 = 1.0 / 32 + 1e-9;

struct Totals {
  std::uint64_t epochs = 0, codes = 0, phases = 0, dopplers = 0, cn0s = 0;
  std::uint64_t slips = 0, not_carried = 0, wild_dopplers = 0;
};

// Compares epoch by epoch what was sent with what came back.
class RoundTrip final : public rtcm::DecoderSink {
 public:
  void expect(const Epoch& sent) { sent_ = sent; }
  void on_epoch(const Epoch& back, rtcm::EpochOrigin /*origin*/) override {
    ++totals.epochs;
    ASSERT_EQ(back.time, sent_.time);
    for (const SatRows& rows : sent_.satellites) {
      for (const Observation& row : sent_.rows(rows)) {
        compare(rows.sat, row, back);
      }
    }
  }
  rtcm::GlonassChannels channels;
  Totals totals;

 private:
  using Key = std::pair<SatId, SignalCode>;

  static const Observation* find(const Epoch& epoch, const Key& key) {
    for (const SatRows& rows : epoch.satellites) {
      for (const Observation& row : epoch.rows(rows)) {
        if (rows.sat == key.first && row.signal == key.second) {
          return &row;
        }
      }
    }
    return nullptr;
  }

  void compare(SatId sat, const Observation& sent, const Epoch& back) {
    const Key key{sat, sent.signal};
    const auto hz =
        frequency_hz(sat.system, sent.signal.band, channels.of(sat));
    if (!rtcm::msm_signal_number(sat.system, sent.signal) || !hz) {
      ++totals.not_carried;
      return;
    }
    const Observation* got = find(back, key);
    ASSERT_NE(got, nullptr) << sat.text() << sent.signal.text();
    const double wavelength_m = kSpeedOfLightMps / *hz;
    ASSERT_EQ(is_present(got->code_m), is_present(sent.code_m));
    if (is_present(sent.code_m)) {
      ++totals.codes;
      ASSERT_NEAR(got->code_m, sent.code_m, kCodeM);
    }
    if (is_present(sent.doppler_hz) && !is_present(got->doppler_hz)) {
      ++totals.wild_dopplers;
      ASSERT_GT(rate_spread_mps(sat), kRateReachMps) << sat.text();
    } else if (is_present(sent.doppler_hz)) {
      ++totals.dopplers;
      ASSERT_NEAR(got->doppler_hz * wavelength_m,
                  sent.doppler_hz * wavelength_m,
                  kRateMps);
    }
    if (is_present(sent.cn0_dbhz)) {
      ++totals.cn0s;
      ASSERT_NEAR(got->cn0_dbhz, sent.cn0_dbhz, kCn0);
    }
    ASSERT_EQ(is_present(got->phase_cyc), is_present(sent.phase_cyc));
    if (is_present(sent.phase_cyc)) {
      compare_phase(key, sent, *got, wavelength_m);
    }
  }

  // How far the rates of a satellite's signals lie apart.
  double rate_spread_mps(SatId sat) const {
    double least = kMissing;
    double most = kMissing;
    for (const SatRows& rows : sent_.satellites) {
      for (const Observation& row : sent_.rows(rows)) {
        const auto hz =
            frequency_hz(sat.system, row.signal.band, channels.of(sat));
        if (rows.sat == sat && hz) {
          const double mps = row.doppler_hz * kSpeedOfLightMps / *hz;
          least = std::fmin(least, mps);
          most = std::fmax(most, mps);
        }
      }
    }
    return most - least;
  }

  // The same up to one whole number of cycles in an arc; the same slips, but
  // for a signal's very first epoch, where MSM cannot say one.
  void compare_phase(const Key& key,
                     const Observation& sent,
                     const Observation& got,
                     double wavelength_m) {
    ++totals.phases;
    const double cycles = got.phase_cyc - sent.phase_cyc;
    ASSERT_NEAR((cycles - std::round(cycles)) * wavelength_m, 0, kPhaseM);
    const auto known = arcs_.find(key);
    if (known != arcs_.end()) {
      ASSERT_EQ(got.lli & 3, sent.lli & 3)
          << key.first.text() << key.second.text();
      totals.slips += sent.lli & 1;
      if ((sent.lli & 1) == 0) {
        ASSERT_EQ(std::round(cycles), known->second);
      }
    }
    arcs_[key] = std::round(cycles);
  }

  Epoch sent_;
  std::map<Key, double> arcs_;
};

// kind: cross, encode and decode   tolerance: above
TEST(MsmRoundTrip, ADayOfEsbcComesBack) {
  const std::string path = STILLPOINT_DATA_OR_SKIP(
      "esbc-2020-177/ESBC00DNK_R_20201770000_01D_30S_MO.crx.gz");
  auto reader = rinex::ObservationReader::open(*open_unpacked(path));
  ASSERT_TRUE(reader);
  RoundTrip trip;
  for (const auto& [sat, channel] : reader->header().glonass_channels) {
    trip.channels.set(sat, channel);
  }
  rtcm::MsmEncoder encoder({.station_id = 1234});
  Epoch epoch;
  std::optional<rtcm::Decoder> decoder;
  while (*reader->next(epoch)) {
    if (!decoder) {
      decoder.emplace(
          rtcm::DecoderOptions{.day = epoch.time, .era = epoch.time}, trip);
    }
    const auto frames = encoder.encode_frames(epoch, trip.channels);
    ASSERT_TRUE(frames);
    trip.expect(epoch);
    for (const auto& frame : *frames) {
      ASSERT_TRUE(rtcm::is_good_frame(frame));
      ASSERT_EQ(decoder->push(rtcm::payload_of(frame)), rtcm::Decoded::kValues);
    }
    decoder->finish();
    if (HasFatalFailure()) {
      return;
    }
  }
  const Totals& t = trip.totals;
  EXPECT_EQ(t.epochs, 2880U);
  EXPECT_GT(t.phases, 380'000U);
  EXPECT_EQ(t.slips, 11U);
  EXPECT_EQ(encoder.left_out().satellites, 0U);
  EXPECT_EQ(encoder.left_out().values, t.wild_dopplers);
  EXPECT_LT(t.wild_dopplers * 10'000, t.dopplers);
  std::printf(
      "%lu epochs, %lu codes, %lu phases, %lu Doppler, %lu C/N0, %lu slips, "
      "%lu Doppler too far from those of the same satellite, %lu rows of "
      "signals that MSM has no place for\n",
      t.epochs,
      t.codes,
      t.phases,
      t.dopplers,
      t.cn0s,
      t.slips,
      t.wild_dopplers,
      t.not_carried);
}

}  // namespace
}  // namespace stillpoint
