// What holds for all conditions: the first look, what is not known, records
// that change, clocks that go back, and which reason decides.
#include <gtest/gtest.h>

#include <algorithm>

#include "stillpoint/trust/trust_test_support.h"

namespace stillpoint::trust {
namespace {

TEST(Judge, AGoodStationIsTrustedFromTheFirstLookOn) {
  Inputs in = good_station();
  Memory memory;
  const Verdict v = judged_for(3600, in, memory);
  EXPECT_EQ(v.state, State::kTrusted);
  EXPECT_EQ(v.since, kStart);
  EXPECT_TRUE(v.reasons.empty());
  EXPECT_TRUE(v.warnings.empty());
}

TEST(Judge, ANewStationBuilds) {
  Inputs in;
  in.now = kStart;
  in.source_open = true;
  Memory memory;
  const Verdict v = judge(in, memory);
  EXPECT_EQ(v.state, State::kBuilding);
  ASSERT_EQ(v.reasons.size(), 2U);
  EXPECT_EQ(v.reasons[0].code, "no_adopted_position");
  EXPECT_EQ(v.reasons[1].code, "no_epochs_yet");
}

TEST(Judge, AtTheStartWhatIsNotKnownIsNoReason) {
  Inputs in;
  in.now = kStart;
  in.adopted =
      Inputs::Adopted{.record = 4, .sigma_h_m = 0.01, .sigma_v_m = 0.02};
  in.source_open = true;
  in.last_epoch_age_s = 0.2;
  Memory memory;
  EXPECT_EQ(judge(in, memory).state, State::kTrusted);
}

TEST(Judge, SomeConditionsHoldAtTheFirstLook) {
  Inputs in = good_station();
  in.source_open = false;
  in.disk_writes = false;
  in.adopted->receiver_apart_m = 3;
  Memory memory;
  const Verdict v = judge(in, memory);
  EXPECT_TRUE(names(v.reasons, "source_closed"));
  EXPECT_TRUE(names(v.reasons, "receiver_sends_another"));
  EXPECT_FALSE(names(v.reasons, "cannot_write")) << "has to last";
}

TEST(Judge, TheGravestComesFirstAndDecides) {
  Inputs in = good_station();
  in.satellites = 3;
  in.adopted->code_apart_m = 400;
  Memory memory;
  Verdict v = judged_for(599, in, memory);
  EXPECT_EQ(v.state, State::kDoubtful);
  v = judged_for(1, in, memory);
  EXPECT_EQ(v.state, State::kWithheld);
  ASSERT_EQ(v.reasons.size(), 2U);
  EXPECT_EQ(v.reasons[0].code, "code_far_off");
  EXPECT_EQ(v.reasons[1].code, "few_satellites");
  EXPECT_EQ(v.since, kStart + Duration{600});
  EXPECT_EQ(v.reasons[1].since, kStart + Duration{60});
}

TEST(Judge, BuildingOutranksDoubtful) {
  Inputs in = good_station();
  in.adopted.reset();
  in.satellites = 3;
  Memory memory;
  const Verdict v = judged_for(100, in, memory);
  EXPECT_EQ(v.state, State::kBuilding);
  EXPECT_EQ(v.reasons.size(), 2U);
}

TEST(Judge, SinceIsThatOfTheStateNotOfItsReasons) {
  Inputs in = good_station();
  Memory memory;
  in.cn0_mean_dbhz = 30;
  judged_for(100, in, memory);
  in.satellites = 4;
  judged_for(100, in, memory);
  in.cn0_mean_dbhz = 44;
  const Verdict v = judged_for(200, in, memory);
  EXPECT_EQ(v.state, State::kDoubtful);
  ASSERT_EQ(v.reasons.size(), 1U);
  EXPECT_EQ(v.reasons[0].code, "few_satellites");
  EXPECT_EQ(v.since, kStart + Duration{30}) << "when C/N0 had fallen";
}

TEST(Judge, AReasonStaysWhileItsValueIsNotKnown) {
  Inputs in = good_station();
  Memory memory;
  in.satellites = 4;
  judged_for(60, in, memory);
  in.satellites.reset();
  const Verdict v = judged_for(3600, in, memory);
  ASSERT_TRUE(names(v.reasons, "few_satellites"));
  EXPECT_EQ(v.reasons[0].what,
            "4 satellites are tracked, fewer than rovers need with some "
            "reserve.");
}

TEST(Judge, SilenceCountsFromTheEndOfABreak) {
  Inputs in = good_station();
  Memory memory;
  judge(in, memory);
  in.source_open = false;  // and the last epoch grows old
  in.last_epoch_age_s = 300;
  judged_for(300, in, memory);
  in.source_open = true;
  in.source_open_s = in.silence_s - 0.1;
  EXPECT_FALSE(names(judge(in, memory).reasons, "source_silent"));
  // Connected, it sends nothing either.
  in.source_open_s = in.silence_s + 0.1;
  in.now = in.now + Duration{11};
  const Verdict v = judge(in, memory);
  ASSERT_TRUE(names(v.reasons, "source_silent"));
  EXPECT_EQ(v.reasons[0].what, "No observations have come for 300 s.");
}

TEST(Judge, SkyAndClockAreNotJudgedWithoutData) {
  Inputs in = good_station();
  Memory memory;
  judge(in, memory);
  in.last_epoch_age_s = 300;
  in.satellites = 0;
  in.cn0_mean_dbhz = 0;
  in.clock_offset_s = 300;
  const Verdict v = judged_for(1000, in, memory);
  ASSERT_EQ(v.reasons.size(), 1U);
  EXPECT_EQ(v.reasons[0].code, "source_silent");
}

TEST(Judge, AReasonThatLooksGoodAgainSaysSo) {
  Inputs in = good_station();
  Memory memory;
  in.satellites = 4;
  judged_for(60, in, memory);
  in.satellites = 20;
  const Verdict v = judged_for(60, in, memory);
  ASSERT_EQ(v.reasons.size(), 1U);
  EXPECT_EQ(
      v.reasons[0].what,
      "4 satellites are tracked, fewer than rovers need with some "
      "reserve. It looks good again, which has to last before it counts.");
  EXPECT_EQ(v.reasons[0].remedy, "Wait; nothing is to be done if it stays so.");
}

TEST(Judge, AnotherRecordEndsWhatWasHeldAgainstTheFirst) {
  Inputs in = good_station();
  Memory memory;
  in.adopted->code_apart_m = 400;
  EXPECT_EQ(judged_for(601, in, memory).state, State::kWithheld);
  in.adopted->record = 2;
  in.adopted->code_apart_m = 0.4;
  in.now = in.now + Duration{1};
  EXPECT_EQ(judge(in, memory).state, State::kTrusted);
}

TEST(Judge, AnotherRecordThatIsAsBadStaysWithheld) {
  Inputs in = good_station();
  Memory memory;
  in.adopted->code_apart_m = 400;
  EXPECT_EQ(judged_for(601, in, memory).state, State::kWithheld);
  in.adopted->record = 2;
  in.adopted->code_apart_m = 390;
  const Verdict v = judged_for(1, in, memory);
  EXPECT_EQ(v.state, State::kWithheld);
  EXPECT_EQ(v.since, kStart + Duration{600});
}

TEST(Judge, WithoutARecordNothingIsHeldAgainstIt) {
  Inputs in = good_station();
  Memory memory;
  in.adopted->code_apart_m = 400;
  judged_for(601, in, memory);
  in.adopted.reset();
  const Verdict v = judge(in, memory);
  EXPECT_EQ(v.state, State::kBuilding);
  EXPECT_EQ(v.reasons.size(), 1U);
}

TEST(Judge, MemoryOutlivesAPauseAndKeepsWhatWasHeld) {
  Inputs in = good_station();
  Memory memory;
  in.satellites = 4;
  judged_for(90, in, memory);
  in.now = in.now + Duration{86'400};
  const Verdict v = judge(in, memory);
  EXPECT_EQ(v.state, State::kDoubtful);
  EXPECT_EQ(v.since, kStart + Duration{60});
}

TEST(Judge, WhatNobodyLookedAtHasNotLasted) {
  Inputs in = good_station();
  Memory memory;
  judge(in, memory);
  in.now = in.now + Duration{1};
  in.adopted->code_apart_m = 400;
  judge(in, memory);
  in.now = in.now + Duration{86'400};
  EXPECT_EQ(judge(in, memory).state, State::kTrusted);
  EXPECT_EQ(judged_for(599, in, memory).state, State::kTrusted);
  EXPECT_EQ(judged_for(1, in, memory).state, State::kWithheld);
}

TEST(Judge, AClockThatGoesBackBeginsTheTimesAnew) {
  Inputs in = good_station();
  Memory memory;
  in.satellites = 4;
  EXPECT_EQ(judged_for(59, in, memory).state, State::kTrusted);
  in.now = kStart - Duration{86'400};
  Verdict v = judged_for(59, in, memory);
  EXPECT_EQ(v.state, State::kTrusted);
  EXPECT_LE(v.since, in.now);
  v = judged_for(1, in, memory);
  EXPECT_EQ(v.state, State::kDoubtful);
  EXPECT_EQ(v.since, in.now);
  in.now = in.now - Duration{3600};
  v = judge(in, memory);
  EXPECT_EQ(v.since, in.now) << "never later than now";
  EXPECT_EQ(v.reasons.at(0).since, in.now);
}

TEST(Judge, TheOrderOfTheMemoryDoesNotMatter) {
  Inputs in = good_station();
  Memory memory;
  in.satellites = 4;
  in.cn0_mean_dbhz = 20;
  judged_for(50, in, memory);
  Memory turned = memory;
  std::reverse(turned.conditions.begin(), turned.conditions.end());
  turned.conditions.push_back({.code = "of_an_older_program", .held = true});
  Inputs same = in;
  const Verdict a = judged_for(50, in, memory);
  const Verdict b = judged_for(50, same, turned);
  EXPECT_EQ(a.state, b.state);
  EXPECT_EQ(a.since, b.since);
  EXPECT_EQ(a.reasons, b.reasons);
  EXPECT_EQ(a.reasons.size(), 2U);
}

TEST(Judge, WarningsChangeNoState) {
  Inputs in = good_station();
  Memory memory;
  in.adopted->plate_motion_m = 0.02;
  in.free_share_of_limit = 0.1;
  in.clock_offset_s = 0.7;
  const Verdict v = judged_for(700, in, memory);
  EXPECT_EQ(v.state, State::kTrusted);
  EXPECT_EQ(v.since, kStart);
  EXPECT_TRUE(v.reasons.empty());
  EXPECT_EQ(v.warnings.size(), 3U);
}

TEST(Judge, TheOwnersSilenceSetsTheLimitAndTheTimeToLeave) {
  Inputs in = good_station();
  Memory memory;
  in.silence_s = 60;
  in.last_epoch_age_s = 59;
  EXPECT_EQ(judged_for(10, in, memory).state, State::kTrusted);
  in.last_epoch_age_s = 61;
  EXPECT_EQ(judged_for(1, in, memory).state, State::kDoubtful);
  in.last_epoch_age_s = 1;
  in.now = in.now + Duration{1};
  EXPECT_EQ(judged_for(119, in, memory).state, State::kDoubtful);
  EXPECT_EQ(judged_for(1, in, memory).state, State::kTrusted);
}

// One epoch every 30 s against a limit of 20 s must not turn it on and off.
TEST(Judge, ASlowReceiverDoesNotFlap) {
  Inputs in = good_station();
  in.silence_s = 20;
  Memory memory;
  int changes = 0;
  State before = judge(in, memory).state;
  for (int t_s = 0; t_s < 3600; ++t_s) {
    in.last_epoch_age_s = t_s % 30;
    const State state = judged_for(1, in, memory).state;
    changes += state != before ? 1 : 0;
    before = state;
  }
  EXPECT_EQ(changes, 1);
}

}  // namespace
}  // namespace stillpoint::trust
