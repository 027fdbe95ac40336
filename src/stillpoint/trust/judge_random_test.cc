// Properties under random inputs; the generator is the standard's own, so that
// a failure repeats.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <random>
#include <set>

#include "stillpoint/trust/conditions.h"
#include "stillpoint/trust/trust_test_support.h"

namespace stillpoint::trust {
namespace {

class Chance {
 public:
  explicit Chance(unsigned seed) : engine_(seed) {}
  bool in(unsigned n) { return engine_() % n == 0; }
  double between(double low, double high) {
    return low + (high - low) * static_cast<double>(engine_() % 100'001) / 1e5;
  }

 private:
  std::mt19937 engine_;
};

// Sets the one quantity of a row by a share: 0 is the limit of leaving, 1 that
// of entering.
using Turn = std::function<void(Inputs&, double)>;

std::map<std::string, Turn> turns() {
  const auto mix = [](double leave, double enter, double share) {
    return leave + (enter - leave) * share;
  };
  return {
      {"code_far_off",
       [mix](Inputs& in, double x) {
         in.adopted->code_apart_m = mix(4, 5, x);
       }},
      {"receiver_sends_another",
       [mix](Inputs& in, double x) {
         in.adopted->receiver_apart_m = mix(0.05, 0.10, x);
       }},
      {"plate_motion_large",
       [mix](Inputs& in, double x) {
         in.adopted->plate_motion_m = mix(0.045, 0.050, x);
       }},
      {"epochs_missing",
       [mix](Inputs& in, double x) {
         in.epochs_missed_share = mix(0.01, 0.05, x);
       }},
      {"cn0_fell",
       [mix](Inputs& in, double x) { in.cn0_mean_dbhz = 44 - mix(3, 6, x); }},
      {"clock_off",
       [mix](Inputs& in, double x) { in.clock_offset_s = -mix(0.5, 1, x); }},
  };
}

int changes_of(const std::string& code,
               const Turn& turn,
               double low,
               double high,
               bool begins_held,
               unsigned seed) {
  Chance chance(seed);
  Inputs in = good_station();
  Memory memory;
  judge(in, memory);
  if (begins_held) {
    turn(in, 3);
    judged_for(1000, in, memory);
  }
  int changes = 0;
  bool before = begins_held;
  for (int i = 0; i < 1500; ++i) {
    turn(in, chance.between(low, high));
    const bool held = names(judged_for(1, in, memory).reasons, code);
    changes += held != before ? 1 : 0;
    before = held;
  }
  return changes;
}

TEST(JudgeRandom, AroundOneThresholdAReasonChangesOnceAtMost) {
  for (const auto& [code, turn] : turns()) {
    for (unsigned seed = 1; seed <= 2; ++seed) {
      // Around the limit of entering, never good enough to leave; around that
      // of leaving, never bad enough to enter.
      EXPECT_LE(changes_of(code, turn, 0.02, 2, false, seed), 1) << code;
      EXPECT_LE(changes_of(code, turn, 0.02, 2, true, seed), 1) << code;
      EXPECT_LE(changes_of(code, turn, -1, 0.98, false, seed), 1) << code;
      EXPECT_LE(changes_of(code, turn, -1, 0.98, true, seed), 1) << code;
    }
    EXPECT_EQ(changes_of(code, turn, 1.1, 2, false, 1), 1) << code;
    EXPECT_EQ(changes_of(code, turn, -2, -0.1, true, 1), 1) << code;
  }
}

// Noise over both thresholds: it can enter, but it must stay quiet.
TEST(JudgeRandom, NoiseOverBothThresholdsHardlyChangesAnything) {
  for (const auto& [code, turn] : turns()) {
    if (code == "plate_motion_large") {
      continue;  // holds at once; a plate makes no noise
    }
    EXPECT_LE(changes_of(code, turn, -1, 2, false, 7), 1) << code;
  }
}

template <class T>
void maybe(Chance& chance, std::optional<T>& value, double low, double high) {
  if (chance.in(10)) {
    value.reset();
  } else if (chance.in(4)) {
    value = static_cast<T>(chance.between(low, high));
  } else if (chance.in(200)) {
    value = static_cast<T>(std::is_floating_point_v<T> ? std::nan("") : 0);
  }
}

void shake(Chance& chance, Inputs& in) {
  if (chance.in(40)) {
    in.adopted.reset();
  } else if (!in.adopted || chance.in(60)) {
    in.adopted = Inputs::Adopted{};
    in.adopted->record = static_cast<std::int64_t>(chance.between(1, 5));
    in.adopted->sigma_h_m = chance.between(0, 0.06);
    in.adopted->sigma_v_m = chance.between(0, 0.11);
  }
  if (in.adopted) {
    maybe(chance, in.adopted->plate_motion_m, 0, 0.06);
    maybe(chance, in.adopted->receiver_apart_m, 0, 0.2);
    maybe(chance, in.adopted->code_apart_m, 0, 9);
    maybe(chance, in.adopted->code_sigma_m, 0, 3);
    if (chance.in(9)) {
      in.adopted->candidate_apart_m =
          chance.in(2) ? std::optional(0.1) : std::nullopt;
    }
  }
  in.source_open = chance.in(20) ? !in.source_open : in.source_open;
  maybe(chance, in.last_epoch_age_s, 0, 30);
  maybe(chance, in.epochs_missed_share, 0, 0.2);
  maybe(chance, in.satellites, 0, 40);
  maybe(chance, in.cn0_mean_dbhz, 30, 50);
  maybe(chance, in.cn0_usual_dbhz, 42, 44);
  in.disk_writes = chance.in(20) ? !in.disk_writes : in.disk_writes;
  maybe(chance, in.free_share_of_limit, 0, 3);
  maybe(chance, in.clock_offset_s, -2, 2);
}

void expect_sound(const Verdict& v, const Verdict& before, GnssTime now) {
  int gravest = 0;
  std::set<std::string> codes;
  int last = 3;
  for (const Reason& r : v.reasons) {
    EXPECT_NE(r.state, State::kTrusted);
    EXPECT_LE(gravity(r.state), last) << "sorted";
    last = gravity(r.state);
    gravest = std::max(gravest, gravity(r.state));
    EXPECT_TRUE(codes.insert(r.code).second);
    EXPECT_FALSE(r.what.empty() || r.remedy.empty() || r.brief.empty());
    EXPECT_LE(r.since, now);
  }
  for (const Reason& r : v.warnings) {
    EXPECT_EQ(r.state, State::kTrusted);
    EXPECT_TRUE(codes.insert(r.code).second);
    EXPECT_FALSE(r.what.empty());
  }
  EXPECT_EQ(gravity(v.state), gravest);
  EXPECT_LE(v.since, now);
  if (v.state != before.state) {
    EXPECT_EQ(v.since, now);
  }
  for (const bool provisional : {false, true}) {
    for (const bool all : {false, true}) {
      const Gate g = gate(v.state, provisional, all);
      const std::string notice = notice_text(v, g, 1234.5);
      EXPECT_EQ(notice.empty(), !g.notice);
      EXPECT_LE(notice.size(), 127U);
    }
  }
  EXPECT_TRUE(sentence(v, now).ends_with('.'));
}

TEST(JudgeRandom, WhateverComesTheVerdictIsSound) {
  for (unsigned seed = 1; seed <= 8; ++seed) {
    Chance chance(seed);
    Inputs in = good_station();
    Memory memory;
    Verdict before = judge(in, memory);
    for (int i = 0; i < 1500; ++i) {
      shake(chance, in);
      const double step_s = chance.in(300) ? chance.between(-1e5, 1e5)
                            : chance.in(2) ? 1
                                           : chance.between(0, 90);
      in.now = in.now + Duration{step_s};
      const Verdict v = judge(in, memory);
      expect_sound(v, before, in.now);
      ASSERT_FALSE(HasFailure()) << "seed " << seed << ", step " << i;
      ASSERT_EQ(memory.conditions.size(), conditions().size());
      before = v;
    }
  }
}

// The same inputs and memory give the same verdict: nothing else goes in.
TEST(JudgeRandom, TheVerdictIsAFunctionOfInputsAndMemory) {
  Chance chance(99);
  Inputs in = good_station();
  Memory memory;
  for (int i = 0; i < 1000; ++i) {
    shake(chance, in);
    in.now = in.now + Duration{chance.between(0, 30)};
    Memory copy = memory;
    const Verdict a = judge(in, memory);
    const Verdict b = judge(in, copy);
    ASSERT_EQ(a.state, b.state);
    ASSERT_EQ(a.since, b.since);
    ASSERT_EQ(a.reasons, b.reasons);
    ASSERT_EQ(a.warnings, b.warnings);
  }
}

}  // namespace
}  // namespace stillpoint::trust
