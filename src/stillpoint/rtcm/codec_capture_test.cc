// Station messages and legacy observations of real streams.
#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "stillpoint/rtcm/codec_test_support.h"
#include "stillpoint/rtcm/epoch_time.h"
#include "stillpoint/rtcm/legacy_encode.h"
#include "stillpoint/rtcm/legacy_map.h"
#include "stillpoint/rtcm/msm_rows.h"
#include "stillpoint/rtcm/raw_station.h"
#include "tests/support/test_data.h"

namespace stillpoint::rtcm {
namespace {

// Checks one payload; false for a message of another kind.
bool comes_back(const Payload& payload) {
  switch (message_type(payload).value_or(0)) {
    case 1001:
    case 1002:
    case 1003:
    case 1004:
      expect_same_bits<RawLegacyGps>(payload);
      return true;
    case 1005:
    case 1006:
      expect_same_bits<RawStationPosition>(payload);
      return true;
    case 1007:
    case 1008:
    case 1033:
      expect_same_bits<RawAntenna>(payload);
      return true;
    case 1009:
    case 1010:
    case 1011:
    case 1012:
      expect_same_bits<RawLegacyGlonass>(payload);
      return true;
    case 1013:
      expect_same_bits<RawSystemParameters>(payload);
      return true;
    case 1029:
      expect_same_bits<RawText>(payload);
      return true;
    case 1230:
      expect_same_bits<RawGlonassBiases>(payload);
      return true;
    default:
      return false;
  }
}

int count_that_come_back(const std::string& path) {
  int count = 0;
  for (const Payload& payload : payloads_of_file(path)) {
    count += comes_back(payload) ? 1 : 0;
  }
  return count;
}

// kind: cross   encode of decode; the counts are those of an independent script
TEST(CapturedStreams, BitsOfTheStreamWithLegacyComeBack) {
  const std::string path =
      STILLPOINT_DATA_OR_SKIP("rtcm/legacy-beside-msm7.rtcm3");
  EXPECT_EQ(count_that_come_back(path), 34 + 34 + 3 + 3);
}
TEST(CapturedStreams, BitsOfTheMixedStreamsComeBack) {
  const std::string all =
      STILLPOINT_DATA_OR_SKIP("rtcm/mixed-station-stream.rtcm3");
  EXPECT_EQ(count_that_come_back(all), 16);
  const std::string some = STILLPOINT_DATA_OR_SKIP("rtcm/mixed-short.rtcm3");
  EXPECT_EQ(count_that_come_back(some), 3);
}
TEST(CapturedStreams, BitsOfTheLongStreamComeBack) {
  const std::string path =
      STILLPOINT_DATA_OR_SKIP("rtcm/msm7-week-rollover.rtcm3.gz");
  EXPECT_EQ(count_that_come_back(path), 38 + 1125 + 1125 + 38 + 1126);
}

Epoch epoch_of(const std::vector<LegacyRow>& rows, GnssTime time) {
  Epoch epoch;
  epoch.time = time;
  for (const LegacyRow& row : rows) {
    if (epoch.satellites.empty() || epoch.satellites.back().sat != row.sat) {
      epoch.satellites.push_back(
          {row.sat, 0, static_cast<std::uint32_t>(epoch.observations.size())});
    }
    ++epoch.satellites.back().count;
    epoch.observations.push_back(row.observation);
  }
  return epoch;
}

LegacyEncodeOptions options_of(const std::vector<LegacyRow>& rows) {
  LegacyEncodeOptions options;
  options.lock_s = [rows](SatId sat, SignalCode signal) {
    for (const LegacyRow& row : rows) {
      if (row.sat == sat && row.observation.signal == signal) {
        return row.lock_min_s;
      }
    }
    return 0.0;
  };
  options.glonass_channel = [rows](SatId sat) -> std::optional<int> {
    for (const LegacyRow& row : rows) {
      if (row.sat == sat) {
        return row.glonass_channel;
      }
    }
    return std::nullopt;
  };
  return options;
}

// Satellites of which nothing gets lost on the way through rows; fields that
// mean nothing beside invalid ones are not looked at.
bool is_whole(const RawLegacySatellite& s) {
  return s.l1_phase != kNoLegacyPhase && s.l2_phase != kNoLegacyPhase &&
         s.l2_code != kNoLegacyCode;
}

template <class Message>
int count_equal(const Message& was, const Message& is) {
  EXPECT_EQ(was.station_id, is.station_id);
  EXPECT_EQ(was.more_follows, is.more_follows);
  std::map<int, RawLegacySatellite> by_number;
  for (const RawLegacySatellite& s : is.satellites) {
    by_number[s.satellite] = s;
  }
  int equal = 0;
  for (const RawLegacySatellite& s : was.satellites) {
    if (is_whole(s)) {
      EXPECT_EQ(by_number[s.satellite], s) << int{s.satellite};
      ++equal;
    }
  }
  return equal;
}

int count_equal(const Payload& payload) {
  const GnssTime near = GnssTime::from_gps_week(2300, 0);
  std::vector<LegacyRow> rows;
  const int type = message_type(payload).value_or(0);
  if (type == 1004) {
    const auto raw = decoded<RawLegacyGps>(payload);
    to_rows(raw, rows);
    LegacyEncodeOptions options = options_of(rows);
    options.station_id = raw.station_id;
    options.more_follows = raw.more_follows;
    const auto back = to_raw_legacy_gps(
        type, epoch_of(rows, week_ms_time(raw.tow_ms, near).value()), options);
    EXPECT_EQ(back.value().tow_ms, raw.tow_ms);
    return count_equal(raw, *back);
  }
  if (type == 1012) {
    const auto raw = decoded<RawLegacyGlonass>(payload);
    to_rows(raw, rows);
    LegacyEncodeOptions options = options_of(rows);
    options.station_id = raw.station_id;
    options.more_follows = raw.more_follows;
    const auto back = to_raw_legacy_glonass(
        type,
        epoch_of(rows, glonass_day_ms_time(raw.day_ms, near).value()),
        options);
    EXPECT_EQ(back.value().day_ms, raw.day_ms);
    return count_equal(raw, *back);
  }
  return 0;
}

// kind: cross   closed loop raw, rows, raw; tolerance: 0, the same integers
TEST(CapturedStreams, LegacyFieldsComeBackFromTheirRows) {
  const std::string gps =
      STILLPOINT_DATA_OR_SKIP("rtcm/legacy-beside-msm7.rtcm3");
  const std::string both =
      STILLPOINT_DATA_OR_SKIP("rtcm/mixed-station-stream.rtcm3");
  int equal = 0;
  for (const Payload& payload : payloads_of_file(gps)) {
    equal += count_equal(payload);
  }
  EXPECT_EQ(equal, 350);  // 737 rows: 350 of two bands, 37 of one
  equal = 0;
  for (const Payload& payload : payloads_of_file(both)) {
    equal += count_equal(payload);
  }
  EXPECT_EQ(equal, 11 + 6);  // dual-frequency satellites of 1004 and 1012
}

using Signals = std::map<std::pair<SatId, SignalCode>, Observation>;

// What the next MSM7 of `type` says of the same instant.
Signals next_msm(std::span<const Payload> payloads, int type) {
  GlonassChannels channels;
  LockMemory locks;
  EpochBuilder builder;
  builder.begin({});
  for (const Payload& payload : payloads) {
    RawMsm msm;
    if (message_type(payload) == type && decode_msm(payload, msm)) {
      append_rows(msm, builder, locks, channels);
      break;
    }
  }
  Signals signals;
  for (const SatRows& sat : builder.epoch().satellites) {
    for (const Observation& o : builder.epoch().rows(sat)) {
      signals[{sat.sat, o.signal}] = o;
    }
  }
  return signals;
}

// Rows of a legacy message; nothing of another.
std::vector<LegacyRow> legacy_rows(const Payload& payload) {
  std::vector<LegacyRow> rows;
  const int type = message_type(payload).value_or(0);
  if (type == 1004) {
    to_rows(decoded<RawLegacyGps>(payload), rows);
  } else if (type == 1012) {
    to_rows(decoded<RawLegacyGlonass>(payload), rows);
  }
  return rows;
}

// kind: cross   the receiver's own MSM7 of the same instant and signal
// tolerance: half a step of the legacy fields, 0.01 m and 0.25 mm, and of the
// MSM's, 0.07 mm (together 0.0017 cycles of L1); C/N0 0.125 dB-Hz. Whole
// cycles are the receiver's choice; those of one lock agree modulo 1500.
TEST(CapturedStreams, LegacyRowsAgreeWithTheMsmBesideThem) {
  const std::string path =
      STILLPOINT_DATA_OR_SKIP("rtcm/legacy-beside-msm7.rtcm3");
  const auto payloads = payloads_of_file(path);
  std::map<System, int> compared;
  int signals_without_msm = 0;
  int own_ambiguity = 0;
  for (std::size_t i = 0; i < payloads.size(); ++i) {
    const auto rows = legacy_rows(payloads[i]);
    const int type = message_type(payloads[i]) == 1004 ? 1077 : 1087;
    const Signals msm = next_msm(std::span(payloads).subspan(i), type);
    for (const LegacyRow& row : rows) {
      if (row.sat.system == System::kSbas || msm.empty()) {
        continue;
      }
      const Observation& o = row.observation;
      const auto found = msm.find({row.sat, o.signal});
      if (found == msm.end()) {
        ++signals_without_msm;
        continue;
      }
      SCOPED_TRACE(row.sat.text() + " " + o.signal.text());
      ++compared[row.sat.system];
      if (is_present(o.code_m)) {
        EXPECT_NEAR(o.code_m, found->second.code_m, 0.0102);
      }
      if (is_present(o.phase_cyc)) {
        const double apart_cyc = o.phase_cyc - found->second.phase_cyc;
        EXPECT_NEAR(std::remainder(apart_cyc, 1), 0, 0.002);
        own_ambiguity +=
            std::abs(std::remainder(apart_cyc, 1500)) > 0.5 ? 1 : 0;
      }
      if (is_present(o.cn0_dbhz)) {
        EXPECT_NEAR(o.cn0_dbhz, found->second.cn0_dbhz, 0.126);
      }
    }
  }
  // Counted in this file. A receiver may start the whole cycles of its two
  // messages apart, as this one does for the last three epochs of G28.
  EXPECT_EQ(signals_without_msm, 0);
  EXPECT_EQ(compared[System::kGps], 737);
  EXPECT_EQ(compared[System::kGlonass], 603);
  EXPECT_EQ(own_ambiguity, 3);
}

}  // namespace
}  // namespace stillpoint::rtcm
