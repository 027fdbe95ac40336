#include "stillpoint/plot/scale.h"

#include <gtest/gtest.h>

#include <cmath>
#include <set>

#include "stillpoint/core/text.h"
#include "stillpoint/plot/style.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::plot {
namespace {

using Labels = std::vector<std::string>;

TEST(NumberTicks, AreRoundAndLabelledWithoutNeedlessDigits) {
  EXPECT_EQ(number_ticks(0, 1, 6).labels,
            (Labels{"0.0", "0.2", "0.4", "0.6", "0.8", "1.0"}));
  EXPECT_EQ(number_ticks(-20, 20, 5).labels,
            (Labels{"\u221220", "\u221210", "0", "10", "20"}));
  EXPECT_EQ(number_ticks(2.301, 2.349, 4).labels,
            (Labels{"2.31", "2.32", "2.33", "2.34"}));
  EXPECT_EQ(number_ticks(-80, 80, 3).labels, (Labels{"\u221250", "0", "50"}));
  EXPECT_EQ(number_ticks(0, 90, 7).labels,
            (Labels{"0", "20", "40", "60", "80"}));
}

TEST(NumberTicks, AscendEvenlyInsideTheRangeAndNeverTooMany) {
  for (const double low : {-1234.5, -1.0, 0.0, 0.003, 17.0, 6.4e6}) {
    for (const double span : {1e-3, 0.07, 1.0, 9.99, 100.0, 3.3e5}) {
      for (const int most : {2, 3, 5, 9}) {
        const Ticks t = number_ticks(low, low + span, most);
        ASSERT_LE(t.at.size(), static_cast<std::size_t>(most));
        ASSERT_EQ(t.at.size(), t.labels.size());
        for (std::size_t i = 0; i < t.at.size(); ++i) {
          ASSERT_GE(t.at[i], low);
          ASSERT_LE(t.at[i], low + span);
          if (i > 0) {
            ASSERT_GT(t.at[i], t.at[i - 1]);
          }
        }
        // Two neighbours are never the same word.
        ASSERT_EQ(std::set(t.labels.begin(), t.labels.end()).size(),
                  t.labels.size());
        // At least every fifth of what is allowed (steps of 1, 2, 5).
        if (most >= 5) {
          ASSERT_GE(t.at.size(), static_cast<std::size_t>(most / 3));
        }
      }
    }
  }
}

// A label says where its tick stands.
TEST(NumberTicks, LabelsAreTheValues) {
  const Ticks t = number_ticks(0.0012, 0.0047, 9);
  ASSERT_GE(t.at.size(), 3U);
  for (std::size_t i = 0; i < t.at.size(); ++i) {
    // kind: cross; source: core/text.h reads the label back; tolerance: the
    // rounding of one product of doubles below 0.005.
    EXPECT_NEAR(*parse_double(t.labels[i]), t.at[i], 1e-15);
  }
}

TEST(TimeTicks, StandOnWholeHoursOfUtc) {
  const GnssTime first = *parse_time("2024-11-23T17:23:12Z");
  const GnssTime last = *parse_time("2024-11-24T17:23:12Z");
  const Axis axis = time_axis(first, last);
  EXPECT_EQ(axis.label, "time UTC, from 2024-11-23");
  const Ticks t = ticks(axis, 7);
  EXPECT_EQ(t.labels,
            (Labels{"20:00", "11-24", "04:00", "08:00", "12:00", "16:00"}));
  // The module time, independent of this one, reads the instants.
  ASSERT_EQ(t.at.size(), 6U);
  EXPECT_EQ(format_utc(first + Duration{t.at[0]}), "2024-11-23T20:00:00Z");
  EXPECT_EQ(format_utc(first + Duration{t.at[1]}), "2024-11-24T00:00:00Z");
  EXPECT_EQ(format_utc(first + Duration{t.at[5]}), "2024-11-24T16:00:00Z");
}

TEST(TimeTicks, FollowTheSpan) {
  const GnssTime first = *parse_time("2024-11-23T00:00:00Z");
  EXPECT_EQ(time_ticks(first, 0, 600, 7).labels,
            (Labels{"00:00", "00:02", "00:04", "00:06", "00:08", "00:10"}));
  EXPECT_EQ(time_ticks(first, 0, 20 * 86'400.0, 7).labels,
            (Labels{"00:00", "11-28", "12-03", "12-08", "12-13"}));
  EXPECT_GT(time_axis(first, first).high, 0);
}

TEST(RoundUp, TakesTheNextDigit) {
  EXPECT_EQ(round_up(1), 1);
  EXPECT_EQ(round_up(6.1), 8);
  EXPECT_EQ(round_up(8.1), 10);
  for (int i = -50; i < 50; ++i) {
    const double v = std::pow(1.26, i);
    const double up = round_up(v);
    EXPECT_GE(up, v * (1 - 1e-9));
    EXPECT_LE(up, v * 2.0000001);
  }
}

TEST(ValueStep, RunsFromTheFirstToTheLastAndKeepsTheMiddleForZero) {
  EXPECT_EQ(value_step(0, 2), 4);
  EXPECT_EQ(value_step(-2, 2), 0);
  EXPECT_EQ(value_step(2, 2), 8);
  EXPECT_EQ(value_step(1e9, 2), 8);
  EXPECT_EQ(value_step(-0.2, 2), 4);
  for (int i = -100; i < 100; ++i) {
    EXPECT_LE(value_step(i, 100), value_step(i + 1, 100));
    EXPECT_EQ(value_step(i, 100) + value_step(-i, 100), 8);
  }
}

}  // namespace
}  // namespace stillpoint::plot
