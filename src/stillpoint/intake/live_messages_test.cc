#include "stillpoint/intake/live_messages.h"

#include <gtest/gtest.h>

#include "stillpoint/intake/intake_test_support.h"

namespace stillpoint::intake {
namespace {

GnssTime at(double t_s) {
  return kStart + Duration{t_s};
}

// A frame of a type that is not read.
Bytes opaque(int type) {
  return rtcm::make_frame(Bytes{static_cast<std::uint8_t>(type >> 4),
                                static_cast<std::uint8_t>((type & 15) << 4),
                                0});
}

void feed(LiveMessages& messages, int type, double t_s) {
  messages.add(type, opaque(type), at(t_s));
}

const LiveMessage& of(const std::vector<LiveMessage>& list, int type) {
  return *std::find_if(list.begin(), list.end(), [type](const LiveMessage& m) {
    return m.type == type;
  });
}

TEST(Period, IsTheMedianOfTheLastSteps) {
  Period period;
  EXPECT_FALSE(period.median_s());
  for (const double t : {0.0, 10.0, 20.0, 70.0, 80.0}) {
    period.at(at(t), 0.5);
  }
  EXPECT_EQ(period.median_s(), 10);
  for (int k = 1; k <= 15; ++k) {
    period.at(at(80 + 5 * k), 0.5);
  }
  EXPECT_EQ(period.median_s(), 5);
}

TEST(Period, ABurstIsOneEvent) {
  Period period;
  for (const double t : {0.0, 0.1, 0.2, 0.3, 30.0, 30.1, 30.2, 60.0}) {
    period.at(at(t), 0.5);
  }
  EXPECT_EQ(period.median_s(), 30);
}

TEST(Period, AClockThatIsSetIsNoStep) {
  Period period;
  for (const double t : {0.0, 10.0, 20.0, 500'000.0, 500'010.0, 0.0, 10.0}) {
    period.at(at(t), 0.5);
  }
  EXPECT_EQ(period.median_s(), 10);
  Period back;
  back.at(at(100), 0.5);
  back.at(at(0), 0.5);
  EXPECT_FALSE(back.median_s());
  back.at(at(10), 0.5);
  EXPECT_EQ(back.median_s(), 10);
}

TEST(LastMinute, CountsSixtySeconds) {
  LastMinute minute;
  EXPECT_EQ(minute.count(0), 0U);
  for (int s = 100; s < 200; ++s) {
    minute.add(s);
  }
  EXPECT_EQ(minute.count(199), 60U);
  EXPECT_EQ(minute.count(209), 50U);
  EXPECT_EQ(minute.count(258), 1U);
  EXPECT_EQ(minute.count(259), 0U);
  minute.add(500);
  EXPECT_EQ(minute.count(500), 1U);
  const std::int64_t far = std::int64_t{1} << 60;  // at once, not step by step
  minute.add(far);
  EXPECT_EQ(minute.count(far), 1U);
}

TEST(LastMinute, SecondsWithoutEventsHoldNone) {
  LastMinute minute;
  minute.add(-3);  // a clock before 1980
  minute.add(-3);
  minute.add(40);
  EXPECT_EQ(minute.count(40), 3U);
  minute.add(58);
  EXPECT_EQ(minute.count(58), 2U);
}

TEST(LastMinute, AClockSetBackBeginsAfresh) {
  LastMinute minute;
  minute.add(5000);
  minute.add(4990);  // a little late
  EXPECT_EQ(minute.count(5000), 2U);
  minute.add(100);
  EXPECT_EQ(minute.count(100), 1U);
}

TEST(LiveMessages, CountsByTypeWithRateAndLastSeen) {
  LiveMessages messages;
  messages.add(std::nullopt, rtcm::make_frame({}), at(0));
  for (int t = 0; t < 100; ++t) {
    feed(messages, 4087, t);
    if (t % 10 == 3) {
      feed(messages, 1005, t);
    }
  }
  const auto list = messages.list(at(99));
  ASSERT_EQ(list.size(), 3U);
  EXPECT_FALSE(list[0].type);
  EXPECT_EQ(list[0].bytes, 6U);
  EXPECT_EQ(list[0].rate_hz, 0);
  EXPECT_EQ(of(list, 1005).count, 10U);
  EXPECT_EQ(of(list, 1005).bytes, 90U);
  EXPECT_EQ(of(list, 1005).seen, at(93));
  EXPECT_TRUE(of(list, 1005).decoded);
  EXPECT_EQ(of(list, 1005).period_s, 10);
  EXPECT_EQ(of(list, 1005).rate_hz, 0.1);
  EXPECT_EQ(of(list, 4087).rate_hz, 1);
  EXPECT_FALSE(of(list, 4087).decoded);
  EXPECT_EQ(of(messages.list(at(189)), 4087).rate_hz, 0);
}

TEST(LiveMessages, ARateTakesFiveSeconds) {
  LiveMessages messages;
  for (int t = 0; t <= 5; ++t) {
    feed(messages, 4087, t);
  }
  EXPECT_FALSE(messages.list(at(4.9))[0].rate_hz);
  EXPECT_EQ(messages.list(at(5))[0].rate_hz, 6.0 / 5);
  EXPECT_FALSE(messages.list(std::nullopt)[0].rate_hz);
}

TEST(LiveMessages, MessagesOfOneEpochAreOneEvent) {
  LiveMessages messages;
  for (int t = 0; t < 5; ++t) {
    const Bytes frames = epoch_frames(t, {kTwoSystems[0]});
    messages.add(1077, frames, at(100));  // all at once
    messages.add(1077, frames, at(100));
  }
  EXPECT_EQ(messages.list(at(100))[0].count, 10U);
  EXPECT_EQ(messages.details(), "1077(1)");
}

// kind: published   source: the form of tests/vectors/ntrip.txt,
// "1057(60),1058(5)" and "1(1),3(60),16"
TEST(LiveMessages, DetailsListTypesWithTheirPeriods) {
  LiveMessages messages;
  messages.add(std::nullopt, rtcm::make_frame({}), at(0));
  feed(messages, 1033, 0);
  for (int t = 0; t < 100; ++t) {
    feed(messages, 4087, t);
    if (t % 10 == 0) {
      feed(messages, 1005, t + 0.02 * (t % 3));  // not quite even
    }
    const Bytes quick = epoch_frames(0.2 * t, {kTwoSystems[0]});
    messages.add(1077, quick, at(t));
  }
  EXPECT_EQ(messages.details(), "1005(10),1033,1077(0.2),4087(1)");
}

TEST(LiveMessages, TypesThatFellSilentLeaveTheList) {
  LiveMessages messages;
  feed(messages, 1005, 0);
  feed(messages, 1006, 0);
  feed(messages, 1006, 3000);  // every 50 minutes
  feed(messages, 4087, 3600);
  EXPECT_EQ(messages.details(), "1005,1006(3000),4087");
  feed(messages, 4087, 3601);
  EXPECT_EQ(messages.details(), "1006(3000),4087(1)");
  feed(messages, 4087, 33'000);
  EXPECT_TRUE(messages.details().starts_with("1006(3000),"));
  feed(messages, 4087, 33'001);
  EXPECT_TRUE(messages.details().starts_with("4087"));
}

// A recording has no receive times, but epochs.
TEST(LiveMessages, WithoutReceiveTimesTheEpochsTell) {
  LiveMessages messages;
  for (int t = 0; t < 30; ++t) {
    const Bytes frames = epoch_frames(t, {kTwoSystems[0]});
    messages.add(1077, frames, std::nullopt);
    if (t % 5 == 0) {
      messages.add(1005, opaque(1005), std::nullopt);
    }
  }
  EXPECT_EQ(messages.details(), "1005(5),1077(1)");
}

TEST(LiveMessages, MemoryAndListAreBounded) {
  LiveMessages messages;
  for (int type = 0; type <= 4095; ++type) {
    feed(messages, type, type);
  }
  messages.add(std::nullopt, rtcm::make_frame({}), at(5000));
  EXPECT_EQ(messages.list(at(5000)).size(), LiveMessages::kMostTypes);
  const std::string details = messages.details();
  EXPECT_EQ(std::count(details.begin(), details.end(), ',') + 1,
            static_cast<std::ptrdiff_t>(LiveMessages::kMostListed));
}

}  // namespace
}  // namespace stillpoint::intake
