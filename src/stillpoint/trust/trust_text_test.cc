#include <gtest/gtest.h>

#include "stillpoint/time/scales.h"
#include "stillpoint/trust/conditions.h"
#include "stillpoint/trust/trust_test_support.h"

namespace stillpoint::trust {
namespace {

GnssTime utc(int month, int day, int hour, int minute) {
  return from_calendar({2026, month, day, hour, minute, 0}, TimeScale::kUtc)
      .value();
}

Verdict verdict(State state) {
  Verdict v;
  v.state = state;
  v.since = utc(6, 14, 14, 2);
  return v;
}

Reason reason(State state, const char* brief) {
  return {.part = Part::kSky,
          .code = "a_code",
          .state = state,
          .what = "Something is so.",
          .remedy = "Do this.",
          .brief = brief,
          .since = utc(6, 14, 14, 2)};
}

TEST(Sentence, OfATrustedStation) {
  EXPECT_EQ(sentence(verdict(State::kTrusted), utc(6, 14, 23, 59)),
            "Trusted since 14:02 UTC. Nothing is to be done.");
  EXPECT_EQ(sentence(verdict(State::kTrusted), utc(6, 15, 0, 0)),
            "Trusted since 2026-06-14 14:02 UTC. Nothing is to be done.");
}

TEST(Sentence, NamesTheMainReasonAndTheNextStep) {
  Verdict v = verdict(State::kDoubtful);
  v.reasons = {reason(State::kDoubtful, "x")};
  const GnssTime now = utc(6, 14, 15, 0);
  EXPECT_EQ(sentence(v, now),
            "Doubtful since 14:02 UTC: something is so. Next: do this.");
  v.reasons.push_back(v.reasons[0]);
  EXPECT_EQ(sentence(v, now),
            "Doubtful since 14:02 UTC: something is so. There is one more "
            "reason. Next: do this.");
  v.reasons.push_back(v.reasons[0]);
  EXPECT_EQ(sentence(v, now),
            "Doubtful since 14:02 UTC: something is so. There are 2 more "
            "reasons. Next: do this.");
  v.reasons[0].what = "C/N0 is low.";
  v.reasons.resize(1);
  EXPECT_EQ(sentence(v, now),
            "Doubtful since 14:02 UTC: C/N0 is low. Next: do this.");
}

TEST(Sentence, NotesAWarningWhereNothingElseIs) {
  Verdict v = verdict(State::kTrusted);
  v.warnings = {reason(State::kTrusted, "x")};
  EXPECT_EQ(sentence(v, utc(6, 14, 15, 0)),
            "Trusted since 14:02 UTC. To note: something is so. Next: do "
            "this.");
}

TEST(Sentence, OfANewStation) {
  Inputs in;
  in.now = utc(6, 14, 14, 2);
  in.source_open = true;
  in.last_epoch_age_s = 0.5;
  Memory memory;
  EXPECT_EQ(sentence(judge(in, memory), in.now),
            "Building since 14:02 UTC: no coordinate is adopted yet. Next: "
            "record until there is enough, work out the coordinate, then adopt "
            "it.");
}

TEST(NoticeText, IsEmptyWhereTheGateWantsNone) {
  EXPECT_EQ(
      notice_text(verdict(State::kTrusted), gate(State::kTrusted, true, true)),
      "");
  EXPECT_EQ(notice_text(verdict(State::kBuilding),
                        gate(State::kBuilding, false, false)),
            "");
}

TEST(NoticeText, SaysStateAndReason) {
  Verdict v = verdict(State::kDoubtful);
  v.reasons = {reason(State::kDoubtful, "few satellites are tracked")};
  EXPECT_EQ(notice_text(v, gate(State::kDoubtful, false, false)),
            "Doubtful: few satellites are tracked.");
  v = verdict(State::kWithheld);
  v.reasons = {reason(State::kWithheld, "code ranges contradict")};
  EXPECT_EQ(notice_text(v, gate(State::kWithheld, false, false)),
            "Withheld: code ranges contradict. No position is sent.");
  EXPECT_EQ(notice_text(v, gate(State::kWithheld, false, true)),
            "Withheld: code ranges contradict. Nothing is sent for "
            "positioning.");
}

TEST(NoticeText, AProvisionalPositionTellsItsUncertainty) {
  Verdict v = verdict(State::kBuilding);
  v.reasons = {reason(State::kBuilding, "no coordinate is adopted yet")};
  const Gate g = gate(State::kBuilding, true, false);
  EXPECT_EQ(notice_text(v, g, 0.83),
            "Provisional position, uncertain by 0.83 m (1 sigma): no "
            "coordinate is adopted yet.");
  EXPECT_EQ(notice_text(v, g),
            "Provisional position, its uncertainty is not known: no coordinate "
            "is adopted yet.");
}

// Whatever reason comes first, the text is whole.
TEST(NoticeText, EveryRowOfTheTableFits) {
  for (const Condition& row : conditions()) {
    Verdict v = verdict(State::kWithheld);
    v.reasons = {reason(State::kWithheld, row.brief)};
    for (const State state : {State::kBuilding, State::kWithheld}) {
      const std::string text =
          notice_text(v, gate(state, true, true), 123'456.0);
      EXPECT_LE(text.size(), 127U) << text;
      EXPECT_TRUE(text.ends_with('.')) << text;
    }
  }
}

}  // namespace
}  // namespace stillpoint::trust
