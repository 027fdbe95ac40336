#include "stillpoint/solve/tie_edit.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "stillpoint/solve/tie_adjust.h"
#include "stillpoint/solve/tie_scene_for_tests.h"

namespace stillpoint::solve {
namespace {

using test::ready_tie;
using test::TieScene;

// Residuals drawn with so many times the assumed sigmas, by group.
TieSession drawn(const std::vector<double>& phase,
                 const std::vector<double>& code,
                 int epochs = 120) {
  TieSession session = ready_tie(TieScene(), epochs);
  std::mt19937 random(5);
  std::normal_distribution<double> normal;
  for (const TieSight& s : session.sights) {
    for (TieRow& r : session.rows_of(s)) {
      r.phase_residual_m =
          static_cast<float>(phase[r.group] * tie_phase_sigma_m(s, r, {}) *
                             std::clamp(normal(random), -3.0, 3.0));
      r.code_residual_m =
          static_cast<float>(code[r.group] * tie_code_sigma_m(s, r, {}) *
                             std::clamp(normal(random), -3.0, 3.0));
    }
  }
  return session;
}

// kind: cross   the factors that the residuals were drawn with.
// tolerance: 8 %: 700 draws give a median deviation to 4 % (1.17 / sqrt(n)
// of a normal law; from memory)
TEST(TieEdit, NoiseFactorsAreThoseOfTheResiduals) {
  TieSession session = drawn({0.7, 2.5}, {1.5, 0.4});
  // Outliers of a tenth of the rows and rows of short arcs do not count.
  for (std::size_t i = 0; i < session.rows.size(); i += 10) {
    session.rows[i].phase_residual_m = 5;
  }
  TieNoise noise(2);
  estimate_noise(session, {}, noise);
  EXPECT_NEAR(noise.phase_factor[1] / 2.5, 1, 0.08);
  EXPECT_NEAR(noise.code_factor[0] / 1.5, 1, 0.08);
  EXPECT_NEAR(noise.code_factor[1] / 0.4, 1, 0.08);
  // A tenth of outliers, all in the first group (every second row): a fifth of
  // it lifts the median from the 50th to the 62nd percentile of the rest.
  EXPECT_NEAR(noise.phase_factor[0] / 0.7, 1.31, 0.1);
}

TEST(TieEdit, GroupsWithFewRowsTakeTheUsualFactor) {
  TieSession session = drawn({1.8, 0.5}, {1, 1});
  int kept = 0;
  for (TieRow& r : session.rows) {
    if (r.group == 1 && ++kept > 39) {
      r.phase_residual_m = std::nanf("");
    }
  }
  TieNoise noise(2);
  estimate_noise(session, {}, noise);
  EXPECT_EQ(noise.phase_factor[1], noise.phase_factor[0]);
  for (TieRow& r : session.rows) {
    r.phase_residual_m = std::nanf("");
  }
  estimate_noise(session, {}, noise);
  EXPECT_EQ(noise.phase_factor[0], 1);
}

TEST(TieEdit, FactorsStayWithinReason) {
  TieSession session = drawn({1000, 1e-6}, {1000, 1e-6});
  TieNoise noise(2);
  estimate_noise(session, {}, noise);
  EXPECT_EQ(noise.phase_factor, (std::vector<double>{30, 0.2}));
  EXPECT_EQ(noise.code_factor, (std::vector<double>{30, 0.2}));
}

// kind: cross   the limits of tie_edit.h: wide at first, 5 sigmas at last; what
// fits again comes back.
TEST(TieEdit, LimitsBeginWideAndRowsComeBack) {
  TieSession session = drawn({1, 1}, {1, 1});
  const TieNoise noise(2);
  std::size_t at = 0;  // first of a modelled sight
  while (!session.sights[at].modelled) {
    ++at;
  }
  const TieSight& s = session.sights[at];
  TieRow& r = session.rows_of(s)[0];
  const double phase_m = tie_phase_sigma_m(s, r, {});
  const double code_m = tie_code_sigma_m(s, r, {});
  for (const double sigmas : {25.0, 12.0, 6.0, 4.5}) {
    for (int round = 0; round < 4; ++round) {
      const double limit = round == 0 ? 20 : round == 1 ? 8 : 5;
      r.flags = 0;
      r.code_residual_m = static_cast<float>(sigmas * code_m);
      r.phase_residual_m = static_cast<float>(sigmas * phase_m);
      const bool code_out = sigmas > limit;
      const bool phase_out = code_out && sigmas * phase_m > 0.02;
      EXPECT_EQ(edit_rows(session, noise, {}, round), code_out + phase_out)
          << sigmas << ' ' << round;
      EXPECT_EQ(r.code_used(), !code_out);
      EXPECT_EQ(r.phase_used(), !phase_out);
    }
  }
  r.flags = kTieCodeOut | kTiePhaseOut;
  r.code_residual_m = r.phase_residual_m = 0;
  EXPECT_EQ(edit_rows(session, noise, {}, 2), 2);
  EXPECT_TRUE(r.code_used() && r.phase_used());
  r.phase_residual_m = 10;
  EXPECT_EQ(edit_rows(session, noise, {Term::kOutlierRejection}, 2), 0);
  EXPECT_TRUE(r.phase_used());
}

// Two centimetres are no outlier of a phase, however quiet the rest.
TEST(TieEdit, QuietPhasesKeepWhatIsBelowTwoCentimetres) {
  TieSession session = drawn({0.2, 0.2}, {1, 1});
  TieNoise noise(2);
  noise.phase_factor = {0.2, 0.2};
  std::size_t at = 0;
  while (!session.sights[at].modelled) {
    ++at;
  }
  TieRow& r = session.rows_of(session.sights[at])[0];
  r.phase_residual_m = 0.019F;
  EXPECT_EQ(edit_rows(session, noise, {}, 2), 0);
  r.phase_residual_m = 0.021F;
  EXPECT_EQ(edit_rows(session, noise, {}, 2), 1);
}

// More than a fifth of an arc's rows out: no integer; that of all epochs that
// were adjusted, where not all of them are.
TEST(TieEdit, ArcsThatLoseManyRowsAreNoIntegers) {
  for (const std::size_t stride : {std::size_t{1}, std::size_t{4}}) {
    for (const double share : {0.15, 0.3}) {
      TieSession session = drawn({1, 1}, {1, 1});
      session.stride = stride;
      std::uint32_t arc = 0;
      while (session.arcs[arc].rows < 100) {
        ++arc;
      }
      int rows = 0, out = 0;
      for (std::size_t k = 0; k < session.epochs.size(); ++k) {
        for (const TieSight& s : session.sights_of(session.epochs[k])) {
          for (TieRow& r : session.rows_of(s)) {
            if (!session.adjusted(k)) {
              r.phase_residual_m = r.code_residual_m = std::nanf("");
            } else if (s.modelled && r.arc == arc) {
              ++rows;
              if (out < share * rows) {
                r.phase_residual_m = 1;
                ++out;
              }
            }
          }
        }
      }
      EXPECT_EQ(edit_rows(session, TieNoise(2), {}, 2), out);
      for (std::uint32_t a = 0; a < session.arcs.size(); ++a) {
        EXPECT_EQ(session.arcs[a].holdable, a != arc || share < 0.2)
            << stride << ' ' << share;
      }
    }
  }
}

}  // namespace
}  // namespace stillpoint::solve
