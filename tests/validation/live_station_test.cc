// What a running station makes of its stream, on recorded and published data.
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <iostream>
#include <optional>
#include <vector>

#include "stillpoint/gnss/broadcast.h"
#include "stillpoint/intake/live_facts.h"
#include "stillpoint/intake/survey.h"
#include "stillpoint/pack/byte_stream.h"
#include "stillpoint/rinex/navigation_reader.h"
#include "stillpoint/rinex/observation_reader.h"
#include "stillpoint/solve/live_position.h"
#include "tests/support/test_data.h"

namespace stillpoint {
namespace {

using Bytes = std::vector<std::uint8_t>;

Bytes read_all(const std::string& path) {
  Bytes all;
  auto stream = open_unpacked(path);
  std::vector<char> piece(1 << 16);
  while (stream) {
    const auto n = (*stream)->read(piece);
    if (!n || *n == 0) {
      break;
    }
    all.insert(all.end(), piece.begin(), piece.begin() + static_cast<long>(*n));
  }
  return all;
}

const intake::StreamReaderOptions kOptions{
    .decoder = {.day = {}, .era = GnssTime::from_gps_week(2340, 0)},
    .framings = {}};

// Everything that LiveFacts and the survey of `listen` both count.
void expect_same(const intake::LiveSnapshot& s, const intake::SurveyReport& r) {
  EXPECT_EQ(s.bytes, r.bytes);
  EXPECT_EQ(s.bad_crc, r.bad_crc);
  EXPECT_EQ(s.malformed, r.malformed);
  EXPECT_EQ(s.skipped_bytes, r.skipped_bytes);
  ASSERT_EQ(s.messages.size(), r.messages.size());
  for (std::size_t i = 0; i < s.messages.size(); ++i) {
    EXPECT_EQ(s.messages[i].type, r.messages[i].type);
    EXPECT_EQ(s.messages[i].count, r.messages[i].count);
    EXPECT_EQ(s.messages[i].bytes, r.messages[i].bytes);
  }
  EXPECT_EQ(s.quality.epochs.received, r.epochs.count);
  EXPECT_EQ(s.quality.interval_s, r.epochs.interval_s);
  EXPECT_EQ(s.quality.last, r.epochs.last);
  EXPECT_EQ(s.station.id, r.station.id);
  EXPECT_EQ(s.station.antenna, r.station.antenna);
  EXPECT_EQ(s.station.receiver, r.station.receiver);
  for (const System system : kSystems) {
    const auto i = static_cast<std::size_t>(system);
    std::vector<std::string> signals;
    for (const quality::SignalState& state : s.quality.signals) {
      if (state.system == system) {
        signals.push_back(state.signal.text());
      }
    }
    const auto known = r.systems[i].value_or(intake::SystemReport{});
    EXPECT_EQ(signals, known.signals) << system_name(system);
  }
}

// kind: cross   the survey that `listen` prints; 1126 epochs at 1 Hz across
// the end of the week, as the data's description says
TEST(LiveStation, AWeekThatEndsMissesNoEpoch) {
  const std::string path =
      STILLPOINT_DATA_OR_SKIP("rtcm/msm7-week-rollover.rtcm3.gz");
  const Bytes bytes = read_all(path);
  solve::LivePosition position;
  std::optional<intake::LiveFacts> facts;
  facts.emplace(kOptions, [&](const Epoch& epoch) {
    position.add(epoch, facts->orbits(), facts->orbits().ionosphere());
  });
  intake::Survey survey(kOptions);
  facts->push(bytes, std::nullopt);
  facts->finish();
  survey.push(bytes);
  survey.finish();
  const intake::LiveSnapshot s = facts->snapshot({});
  expect_same(s, survey.report({}));
  EXPECT_EQ(s.quality.epochs.received, 1126U);
  EXPECT_EQ(s.quality.epochs.missed, 0U);
  EXPECT_EQ(s.quality.epochs.jumps + s.quality.epochs.doubled +
                s.quality.epochs.backward,
            0U);
  EXPECT_EQ(s.quality.interval_s, 1);
  EXPECT_EQ(s.nav_system, "GPS+GLO+GAL+BDS+QZS");
  EXPECT_EQ(s.carrier, 2);
  EXPECT_GT(s.ephemerides[static_cast<std::size_t>(System::kGps)], 0);
  double epochs = 0, missed = 0;
  for (const auto& row : facts->take_minutes(*s.quality.last + Duration{60})) {
    epochs += row.name == "epochs_received_count" ? row.sum : 0;
    missed += row.name == "epochs_missed_count" ? row.sum : 0;
  }
  EXPECT_EQ(epochs, 1126);
  EXPECT_EQ(missed, 0);
  // The coordinate that the stream itself sends, in a frame that it does not
  // name. tolerance: 5 m, twenty minutes of code ranges
  ASSERT_TRUE(position.fix() && s.station.arp_m);
  std::cout << "list " << s.message_list
            << "\nfrom 1006: " << position.fix()->distance_m(*s.station.arp_m)
            << " m, epochs " << position.fix()->epochs << "\n";
  EXPECT_LT(position.fix()->distance_m(*s.station.arp_m), 5);
}

// The same with the clock of a station, whose receive times lie in another
// year than a recording that is played to it.
TEST(LiveStation, ARecordingPlayedLiveIsCountedTheSame) {
  const std::string path =
      STILLPOINT_DATA_OR_SKIP("rtcm/msm7-week-rollover.rtcm3.gz");
  const Bytes bytes = read_all(path);
  intake::LiveFacts facts(kOptions);
  const std::size_t piece = bytes.size() / 1126;
  const GnssTime start = GnssTime::from_gps_week(2450, 1000.5);
  GnssTime now = start;
  for (std::size_t i = 0; i < bytes.size(); i += piece) {
    const std::size_t second = i / piece;
    now = start + Duration{static_cast<double>(second)};
    facts.push(ByteSpan(bytes).subspan(i, std::min(piece, bytes.size() - i)),
               now);
  }
  facts.tick(now + Duration{1});
  const intake::LiveSnapshot s = facts.snapshot(now + Duration{1});
  EXPECT_EQ(s.quality.epochs.received, 1126U);
  EXPECT_EQ(s.quality.epochs.missed, 0U);
  EXPECT_EQ(s.quality.epochs.jumps, 0U);
  for (const auto& message : s.messages) {
    if (message.type == 1077) {
      EXPECT_NEAR(*message.rate_hz, 1, 0.1);
      EXPECT_EQ(message.period_s, 1);
    }
  }
  std::cout << "list " << s.message_list << "\n";
}

struct Hour {
  std::vector<double> first_m, mean_m;  // distances from the truth
  std::array<int, 3> inside_one{}, inside_two{};
  int hours = 0;
};

// kind: published   source: the national agency's ITRF2014 coordinates at
// 2015.0 and 2022.93, interpolated to the day; marker, antenna height of the
// header added
// tolerance: 2 m for the mean of an hour and the median epoch; 10 m for every
// epoch: code ranges with broadcast orbits, WGS84 against ITRF is decimetres
TEST(LivePosition, EsbcHourByHour) {
  const std::string path = STILLPOINT_DATA_OR_SKIP(
      "esbc-2020-177/ESBC00DNK_R_20201770000_01D_30S_MO.crx.gz");
  auto navigation = rinex::read_navigation(*open_unpacked(
      test::data_path("esbc-2020-177/ESBC00DNK_R_20201770000_01D_MN.rnx.gz")));
  ASSERT_TRUE(navigation);
  BroadcastOrbits orbits;
  orbits.add(navigation->data);
  auto reader = rinex::ObservationReader::open(*open_unpacked(path));
  ASSERT_TRUE(reader);
  const Ecef marker{3582104.7657, 532590.1785, 5232755.139};
  const Ecef truth = from_enu(reader->header().antenna_delta_enu_m, marker);

  solve::LivePosition position;
  Hour result;
  std::vector<double> single_m;
  Epoch epoch;
  int k = 0;
  while (*reader->next(epoch)) {
    solve::LivePosition alone;
    alone.add(epoch, orbits, orbits.ionosphere());
    ASSERT_TRUE(alone.fix());
    single_m.push_back(alone.fix()->distance_m(truth));
    position.add(epoch, orbits, orbits.ionosphere());
    if (++k % 120 != 0) {
      continue;
    }
    const solve::LiveFix fix = *position.fix();
    EXPECT_GE(fix.epochs, 90);
    EXPECT_LT(fix.distance_m(truth), 2) << "hour " << k / 120;
    result.mean_m.push_back(fix.distance_m(truth));
    const Enu d = to_enu(fix.antenna_m, truth);
    const std::array<double, 3> axes{d.e_m, d.n_m, d.u_m};
    for (std::size_t i = 0; i < 3; ++i) {
      result.inside_one[i] += std::abs(axes[i]) < fix.sigma_enu_m[i] ? 1 : 0;
      result.inside_two[i] +=
          std::abs(axes[i]) < 2 * fix.sigma_enu_m[i] ? 1 : 0;
    }
    std::cout << "hour " << k / 120 << " E N U " << d.e_m << " " << d.n_m << " "
              << d.u_m << " sigma " << fix.sigma_enu_m[0] << " "
              << fix.sigma_enu_m[1] << " " << fix.sigma_enu_m[2] << " epochs "
              << fix.epochs << "\n";
  }
  EXPECT_EQ(k, 2880);
  std::sort(single_m.begin(), single_m.end());
  std::cout << "single epochs: median " << single_m[single_m.size() / 2]
            << " 95 % " << single_m[single_m.size() * 95 / 100] << " worst "
            << single_m.back() << " m\n";
  EXPECT_LT(single_m[single_m.size() / 2], 2);
  EXPECT_LT(single_m.back(), 10);
  for (std::size_t i = 0; i < 3; ++i) {
    std::cout << "axis " << i << " of 24 hours inside one sigma "
              << result.inside_one[i] << ", two " << result.inside_two[i]
              << "\n";
    EXPECT_GE(result.inside_two[i], 22);
  }
}

}  // namespace
}  // namespace stillpoint
