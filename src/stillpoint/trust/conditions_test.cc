// Every row of the table enters and leaves as it says.
#include "stillpoint/trust/conditions.h"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <limits>
#include <set>
#include <string>

#include "stillpoint/trust/trust_test_support.h"

namespace stillpoint::trust {
namespace {

struct Case {
  const char* code;
  State state;
  double enter_after_s, leave_after_s;
  // Just beyond the limit of entering, and just not.
  std::function<void(Inputs&)> bad, nearly_bad;
  // Just not good enough to leave, and just good enough.
  std::function<void(Inputs&)> nearly_good, good;
};

std::function<void(Inputs&)> code(double apart_m, double sigma_m) {
  return [=](Inputs& in) {
    in.adopted->code_apart_m = apart_m;
    in.adopted->code_sigma_m = sigma_m;
  };
}

// The rows of docs/trust.md, written out a second time.
// kind: cross   the page and the table agree
std::vector<Case> cases() {
  const auto nothing = [](Inputs&) {};
  return {
      {"no_adopted_position",
       State::kBuilding,
       0,
       0,
       [](Inputs& in) { in.adopted.reset(); },
       nothing,
       [](Inputs& in) { in.adopted.reset(); },
       nothing},
      {"code_far_off",
       State::kWithheld,
       600,
       1200,
       code(5.01, 0.5),
       code(4.99, 0.5),
       code(4.01, 0.5),
       code(3.99, 0.5)},
      {"code_far_off",
       State::kWithheld,
       600,
       1200,
       code(10.01, 2),
       code(9.99, 2),
       code(8.01, 2),
       code(7.99, 2)},
      {"code_apart",
       State::kDoubtful,
       600,
       1200,
       code(3.01, 0.5),
       code(2.99, 0.5),
       code(2.41, 0.5),
       code(2.39, 0.5)},
      {"code_apart",
       State::kDoubtful,
       600,
       1200,
       code(8.01, 2),
       code(7.99, 2),
       code(6.41, 2),
       code(6.39, 2)},
      {"candidate_disagrees",
       State::kDoubtful,
       0,
       0,
       [](Inputs& in) { in.adopted->candidate_apart_m = 0.03; },
       nothing,
       [](Inputs& in) { in.adopted->candidate_apart_m = 0.03; },
       nothing},
      {"position_uncertain",
       State::kDoubtful,
       0,
       0,
       [](Inputs& in) { in.adopted->sigma_h_m = 0.0501; },
       [](Inputs& in) { in.adopted->sigma_h_m = 0.0499; },
       [](Inputs& in) { in.adopted->sigma_v_m = 0.1001; },
       [](Inputs& in) { in.adopted->sigma_v_m = 0.0999; }},
      {"receiver_sends_another",
       State::kDoubtful,
       10,
       60,
       [](Inputs& in) { in.adopted->receiver_apart_m = 0.101; },
       [](Inputs& in) { in.adopted->receiver_apart_m = 0.099; },
       [](Inputs& in) { in.adopted->receiver_apart_m = 0.051; },
       [](Inputs& in) { in.adopted->receiver_apart_m.reset(); }},
      {"plate_motion_large",
       State::kDoubtful,
       0,
       0,
       [](Inputs& in) { in.adopted->plate_motion_m = 0.0501; },
       [](Inputs& in) { in.adopted->plate_motion_m = 0.0499; },
       [](Inputs& in) { in.adopted->plate_motion_m = 0.0451; },
       [](Inputs& in) { in.adopted->plate_motion_m = 0.0449; }},
      {"plate_motion",
       State::kTrusted,
       0,
       0,
       [](Inputs& in) { in.adopted->plate_motion_m = 0.0101; },
       [](Inputs& in) { in.adopted->plate_motion_m = 0.0099; },
       [](Inputs& in) { in.adopted->plate_motion_m = 0.0091; },
       [](Inputs& in) { in.adopted->plate_motion_m = 0.0089; }},
      {"source_closed",
       State::kDoubtful,
       10,
       10,
       [](Inputs& in) { in.source_open = false; },
       nothing,
       [](Inputs& in) { in.source_open = false; },
       nothing},
      {"no_epochs_yet",
       State::kDoubtful,
       0,
       0,
       [](Inputs& in) { in.last_epoch_age_s.reset(); },
       nothing,
       [](Inputs& in) { in.last_epoch_age_s.reset(); },
       nothing},
      {"source_silent",
       State::kDoubtful,
       0,
       20,
       [](Inputs& in) { in.last_epoch_age_s = 10.1; },
       [](Inputs& in) { in.last_epoch_age_s = 9.9; },
       [](Inputs& in) { in.last_epoch_age_s = 10.1; },
       [](Inputs& in) { in.last_epoch_age_s = 9.9; }},
      {"epochs_missing",
       State::kDoubtful,
       60,
       120,
       [](Inputs& in) { in.epochs_missed_share = 0.051; },
       [](Inputs& in) { in.epochs_missed_share = 0.049; },
       [](Inputs& in) { in.epochs_missed_share = 0.011; },
       [](Inputs& in) { in.epochs_missed_share = 0.009; }},
      {"cn0_fell",
       State::kDoubtful,
       30,
       120,
       [](Inputs& in) { in.cn0_mean_dbhz = 37.9; },
       [](Inputs& in) { in.cn0_mean_dbhz = 38.1; },
       [](Inputs& in) { in.cn0_mean_dbhz = 40.9; },
       [](Inputs& in) { in.cn0_mean_dbhz = 41.1; }},
      {"few_satellites",
       State::kDoubtful,
       60,
       120,
       [](Inputs& in) { in.satellites = 7; },
       [](Inputs& in) { in.satellites = 8; },
       [](Inputs& in) { in.satellites = 8; },
       [](Inputs& in) { in.satellites = 9; }},
      {"cannot_write",
       State::kDoubtful,
       10,
       60,
       [](Inputs& in) { in.disk_writes = false; },
       nothing,
       [](Inputs& in) { in.disk_writes = false; },
       nothing},
      {"nearly_full",
       State::kTrusted,
       600,
       600,
       [](Inputs& in) { in.free_share_of_limit = 0.89; },
       [](Inputs& in) { in.free_share_of_limit = 0.91; },
       [](Inputs& in) { in.free_share_of_limit = 0.99; },
       [](Inputs& in) { in.free_share_of_limit = 1.01; }},
      {"clock_off",
       State::kDoubtful,
       60,
       120,
       [](Inputs& in) { in.clock_offset_s = -1.01; },
       [](Inputs& in) { in.clock_offset_s = 0.99; },
       [](Inputs& in) { in.clock_offset_s = -0.51; },
       [](Inputs& in) { in.clock_offset_s = 0.49; }},
      {"clock_drifts",
       State::kTrusted,
       60,
       120,
       [](Inputs& in) { in.clock_offset_s = 0.51; },
       [](Inputs& in) { in.clock_offset_s = -0.49; },
       [](Inputs& in) { in.clock_offset_s = 0.31; },
       [](Inputs& in) { in.clock_offset_s = -0.29; }},
  };
}

bool told(const Verdict& v, const Case& c) {
  return names(c.state == State::kTrusted ? v.warnings : v.reasons, c.code);
}

class Row : public testing::TestWithParam<Case> {
 protected:
  void SetUp() override {
    in_ = good_station();
    ASSERT_EQ(judge(in_, memory_).state, State::kTrusted);
    ASSERT_TRUE(judge(in_, memory_).warnings.empty());
  }
  Verdict after(double seconds, const std::function<void(Inputs&)>& change) {
    Inputs in = good_station();
    change(in);
    in.now = in_.now + Duration{1};
    Verdict v = judged_for(seconds, in, memory_);
    in_ = in;
    return v;
  }
  Inputs in_;
  Memory memory_;
};

TEST_P(Row, EntersAfterItsTimeAndNotBefore) {
  const Case& c = GetParam();
  if (c.enter_after_s > 0) {
    EXPECT_FALSE(told(after(c.enter_after_s - 1, c.bad), c));
    EXPECT_TRUE(told(after(0, c.bad), c));
  }
  const Verdict v = after(0, c.bad);
  ASSERT_TRUE(told(v, c));
  EXPECT_EQ(v.state, c.state);
}

TEST_P(Row, NearlyBadNeverEnters) {
  EXPECT_FALSE(told(after(2000, GetParam().nearly_bad), GetParam()));
}

TEST_P(Row, ABreakBeginsTheTimeAnew) {
  const Case& c = GetParam();
  if (c.enter_after_s == 0) {
    return;
  }
  for (int i = 0; i < 5; ++i) {
    EXPECT_FALSE(told(after(c.enter_after_s - 1, c.bad), c));
    EXPECT_FALSE(told(after(0, c.nearly_bad), c));
  }
}

TEST_P(Row, LeavesAfterItsTimeAndNotBefore) {
  const Case& c = GetParam();
  ASSERT_TRUE(told(after(c.enter_after_s, c.bad), c));
  ASSERT_TRUE(told(after(3000, c.nearly_good), c)) << "hysteresis";
  if (c.leave_after_s > 0) {
    EXPECT_TRUE(told(after(c.leave_after_s - 1, c.good), c));
    EXPECT_TRUE(told(after(0, c.nearly_good), c)) << "begins the time anew";
    EXPECT_TRUE(told(after(c.leave_after_s - 1, c.good), c));
  }
  EXPECT_FALSE(told(after(0, c.good), c));
}

TEST_P(Row, WordsAreThereAndFit) {
  const Case& c = GetParam();
  const Verdict v = after(c.enter_after_s, c.bad);
  for (const Reason& r : c.state == State::kTrusted ? v.warnings : v.reasons) {
    EXPECT_EQ(r.state, c.state);
    EXPECT_TRUE(r.what.ends_with('.')) << r.what;
    EXPECT_TRUE(r.remedy.ends_with('.')) << r.remedy;
    EXPECT_TRUE(std::isupper(static_cast<unsigned char>(r.what[0])) != 0 ||
                std::isdigit(static_cast<unsigned char>(r.what[0])) != 0);
    EXPECT_FALSE(r.brief.empty());
    EXPECT_LE(r.brief.size(), 70U);
    EXPECT_EQ(r.what.find("nan"), std::string::npos);
  }
}

INSTANTIATE_TEST_SUITE_P(
    Table, Row, testing::ValuesIn(cases()), [](const auto& row) {
      return std::to_string(row.index) + "_" + row.param.code;
    });

TEST(Conditions, EveryRowIsTriedAndNamedOnce) {
  std::set<std::string> tried, there;
  for (const Case& c : cases()) {
    tried.insert(c.code);
  }
  for (const Condition& row : conditions()) {
    EXPECT_TRUE(there.insert(row.code).second) << row.code;
  }
  EXPECT_EQ(tried, there);
  for (const Condition& row : conditions()) {
    EXPECT_TRUE(*row.graver == '\0' || there.contains(row.graver));
  }
}

TEST(Conditions, LimitsOfEnteringAndLeavingDoNotCross) {
  for (const Condition& row : conditions()) {
    const double sign = row.bad == Bad::kAbove ? 1 : -1;
    EXPECT_LE(sign * row.leave, sign * row.enter) << row.code;
    EXPECT_GE(row.leave_after_s, row.times_silence ? 0 : row.enter_after_s)
        << row.code << ": leaving takes at least as long";
  }
}

TEST(Conditions, WhatIsNotKnownIsNeitherGoodNorBad) {
  Inputs in = good_station();
  const double nan = std::numeric_limits<double>::quiet_NaN();
  in.adopted->plate_motion_m = in.adopted->code_apart_m = nan;
  in.adopted->receiver_apart_m = nan;
  in.last_epoch_age_s = in.epochs_missed_share = nan;
  in.cn0_mean_dbhz = in.free_share_of_limit = in.clock_offset_s = nan;
  for (const Condition& row : conditions()) {
    const std::string code = row.code;
    if (code == "code_far_off" || code == "plate_motion" ||
        code == "receiver_sends_another" || code == "source_silent" ||
        code == "epochs_missing" || code == "cn0_fell" ||
        code == "few_satellites" || code == "nearly_full" ||
        code == "clock_off") {
      EXPECT_EQ(look(row, in), Look::kUnknown) << code;
    }
  }
}

TEST(Conditions, AnUncertaintyThatIsNoNumberIsNotTrusted) {
  for (const double sigma : {std::numeric_limits<double>::quiet_NaN(),
                             std::numeric_limits<double>::infinity(),
                             -1.0}) {
    Inputs in = good_station();
    Memory memory;
    in.adopted->sigma_v_m = sigma;
    const Verdict v = judge(in, memory);
    ASSERT_EQ(v.state, State::kDoubtful);
    EXPECT_EQ(v.reasons.at(0).what,
              "How good the adopted coordinate is, is not known.");
  }
}

TEST(LengthText, TheUnitFitsTheSize) {
  EXPECT_EQ(length_text(0), "0 mm");
  EXPECT_EQ(length_text(0.018), "18 mm");
  EXPECT_EQ(length_text(0.0994), "99 mm");
  EXPECT_EQ(length_text(0.0996), "0.10 m");
  EXPECT_EQ(length_text(0.534), "0.53 m");
  EXPECT_EQ(length_text(1234.4), "1234 m");
}

}  // namespace
}  // namespace stillpoint::trust
