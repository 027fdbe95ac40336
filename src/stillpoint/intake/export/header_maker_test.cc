#include "stillpoint/intake/export/header_maker.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "stillpoint/intake/export/export_test_support.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::intake {
namespace {

using export_test::kG07;
using export_test::kR03;

const GnssTime kTen = *parse_time("2026-06-02T10:00:00");
const Period kHour{kTen, kTen + Duration{3600}};

RecordedEpoch epoch_at(double t_s) {
  RecordedEpoch recorded;
  recorded.bytes = {0x4C484F4C,
                    static_cast<std::uint64_t>(t_s * 100),
                    static_cast<std::uint64_t>(t_s * 100 + 100)};
  Epoch& epoch = recorded.epoch;
  epoch.time = kTen + Duration{t_s};
  Observation row;
  row.signal = {'1', 'C'};
  row.code_m = 2e7;
  row.cn0_dbhz = 40;
  epoch.observations = {row, row, row};
  epoch.observations[1].signal = {'5', 'Q'};
  epoch.observations[1].phase_cyc = 1e8;
  epoch.satellites = {{kG07, 2, 0}, {kR03, 1, 2}};
  return recorded;
}

PeriodFacts facts() {
  PeriodFacts f;
  for (const double t_s : {1.0, 2.0, 3.0, 9.0, 10.0}) {
    f.msm.add(epoch_at(t_s));
  }
  return f;
}

bool has(const std::vector<std::string>& lines, const std::string& line) {
  return std::find(lines.begin(), lines.end(), line) != lines.end();
}

TEST(MakeHeader, SaysWhatTheEpochsHold) {
  const auto header = make_header(export_test::request(),
                                  kHour,
                                  facts(),
                                  {{kR03, 5}, {{System::kGlonass, 4}, 6}},
                                  {});
  std::string gps, glonass;
  for (const auto& column : header.columns[0]) {
    gps += column.code + " ";
  }
  for (const auto& column : header.columns[1]) {
    glonass += column.code + " ";
  }
  EXPECT_EQ(gps, "C1C S1C C5Q L5Q S5Q ");
  EXPECT_EQ(glonass, "C1C S1C ");
  EXPECT_EQ(header.system, 'M');
  EXPECT_EQ(header.marker_name, "LHOL00XXX");
  EXPECT_EQ(header.first_obs, kTen + Duration{1});
  EXPECT_EQ(header.last_obs, kTen + Duration{10});
  EXPECT_EQ(header.interval_s, 1);
  EXPECT_EQ(header.glonass_channels, (std::map<SatId, int>{{kR03, 5}}));
  EXPECT_TRUE(header.phase_shifts.empty());
}

// kind: published   source: IERS Bulletin C: GPST - UTC = 18 s since 2017-01-01
// tolerance: exact, whole seconds
TEST(MakeHeader, LeapSecondsAreThoseSentElseThoseOfTheTable) {
  PeriodFacts f = facts();
  const auto leaps = [&] {
    return make_header(export_test::request(), kHour, f, {}, {}).leap_seconds;
  };
  EXPECT_EQ(leaps(), 18);
  f.station.leap_seconds = 19;
  EXPECT_EQ(leaps(), 19);
}

TEST(MakeHeader, NamesTheBytesThatTheFileIsMadeOf) {
  const auto header =
      make_header(export_test::request(), kHour, facts(), {}, {});
  EXPECT_TRUE(
      has(header.comments, "made of the recorded stream 000000004c484f4c,"));
  EXPECT_TRUE(has(header.comments, "bytes 100 to 1100"));
}

TEST(MakeHeader, NamesGapsOfThePeriodOnly) {
  const archive::Gap inside{500,
                            700,
                            kTen + Duration{60},
                            kTen + Duration{75},
                            archive::GapReason::kDamaged};
  archive::Gap outside = inside;
  outside.last_before = outside.first_after = kTen - Duration{600};
  archive::Gap pause{900,
                     900,
                     kTen + Duration{100},
                     kTen + Duration{200},
                     archive::GapReason::kInterrupted};
  const std::vector<archive::Gap> gaps{outside, inside, pause};
  const auto header =
      make_header(export_test::request(), kHour, facts(), {}, gaps);
  EXPECT_TRUE(has(header.comments, "10:01:00 to 10:01:15: 200 bytes damaged"));
  EXPECT_TRUE(has(header.comments, "10:01:40 to 10:03:20: interrupted"));
  EXPECT_FALSE(has(header.comments, "09:50:00 to 09:50:00: 200 bytes damaged"));
  const std::vector<archive::Gap> many(25, inside);
  EXPECT_TRUE(has(gap_comments(kHour, many), "and 15 more"));
}

TEST(MakeHeader, EveryCommentFitsItsLine) {
  StreamRange longest{~0ULL, ~0ULL - 1, ~0ULL};
  archive::Gap gap{0, ~0ULL, kTen, kTen, archive::GapReason::kInterrupted};
  std::vector<std::string> lines = origin_comments({&longest, 1});
  const auto more = gap_comments(kHour, {&gap, 1});
  lines.insert(lines.end(), more.begin(), more.end());
  for (const std::string& line : lines) {
    EXPECT_LE(line.size(), 60U) << line;
  }
}

TEST(MakeHeader, OlderMessagesCountWhereThereIsNoMsm) {
  PeriodFacts f;
  f.legacy.add(epoch_at(5));
  const auto header = make_header(export_test::request(), kHour, f, {}, {});
  EXPECT_EQ(header.first_obs, kTen + Duration{5});
  EXPECT_FALSE(header.interval_s);
  EXPECT_TRUE(
      has(header.comments, "from messages 1001 to 1012, codes to 0.02 m"));
}

}  // namespace
}  // namespace stillpoint::intake
