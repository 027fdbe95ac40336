#include "stillpoint/solve/ppp_edit.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "stillpoint/solve/ppp_adjust.h"
#include "stillpoint/solve/ppp_arcs.h"
#include "stillpoint/solve/ppp_scene_for_tests.h"

namespace stillpoint::solve {
namespace {

constexpr SatId kG05{System::kGps, 5};
constexpr SatId kE11{System::kGalileo, 11};
constexpr SatId kC20{System::kBeidou, 20};

// One row a satellite and epoch at 60 degrees, one arc a satellite, residuals
// of a normal law with the assumed sigma times a scale.
struct Rows {
  PppSession session;
  std::mt19937 random{7};
  std::normal_distribution<double> normal;

  void add(SatId sat, int epochs, double scale) {
    const auto arc = static_cast<std::uint32_t>(session.arcs.size());
    session.arcs.push_back({sat, time_of(0), time_of(epochs - 1), epochs, 0});
    for (int k = 0; k < epochs; ++k) {
      PppRow row;
      row.sat = sat;
      row.arc = arc;
      row.elevation_rad = 1.0472F;
      row.cn0_dbhz = 45;
      row.phase_residual_m =
          static_cast<float>(scale * phase_sigma_m(row, {}) * normal(random));
      row.code_residual_m =
          static_cast<float>(scale * code_sigma_m(row, {}) * normal(random));
      // Every row its own epoch of that time would do as well; epochs of one
      // satellite follow each other.
      session.epochs.push_back(
          {time_of(k), static_cast<std::uint32_t>(session.rows.size()), 1});
      session.rows.push_back(row);
    }
  }
  static GnssTime time_of(int k) {
    return GnssTime::from_gps_week(2300, 30.0 * k);
  }
};

std::size_t index_of(System s) {
  return static_cast<std::size_t>(s);
}

// kind: cross   the injected scale.
// tolerance: 15 %; the median deviation of 600 normal values has a standard
// error of 1.17 / sqrt(2 * 600) = 3.4 %, and one value in twenty is 30 times
// too large, which raises it by 7 %
TEST(PppEdit, NoiseIsTheInjectedScaleInSpiteOfOutliers) {
  Rows rows;
  rows.add(kG05, 600, 2.5);
  rows.add(kE11, 600, 0.7);
  for (std::size_t i = 0; i < rows.session.rows.size(); i += 20) {
    rows.session.rows[i].phase_residual_m *= 30;
    rows.session.rows[i].code_residual_m *= 30;
  }
  PppNoise noise;
  estimate_noise(rows.session, {}, noise);
  for (const auto& factors : {noise.phase_factor, noise.code_factor}) {
    EXPECT_NEAR(factors[index_of(System::kGps)], 2.5, 0.15 * 2.5);
    EXPECT_NEAR(factors[index_of(System::kGalileo)], 0.7, 0.15 * 0.7);
  }
}

// kind: cross   the injected scale, through an adjustment of seven satellites.
// tolerance: 15 %: an epoch's clock takes one row in seven of the phases' noise
// (7 %), and of 1 800 and more rows the median deviation has a standard error
// of 2 %
TEST(PppEdit, NoiseIsTheInjectedScaleAfterAnAdjustment) {
  for (const double scale : {3.0, 0.5}) {
    PppSession session = test::modelled(test::Scene(), 300);
    ASSERT_EQ(find_arcs(session).slips, 0);
    finish_arcs(session);
    std::mt19937 random(3);
    std::normal_distribution<double> normal;
    for (PppRow& r : session.rows) {
      r.phase_m += scale * phase_sigma_m(r, {}) * normal(random);
      r.code_m += scale * code_sigma_m(r, {}) * normal(random);
    }
    PppNoise noise;
    PppAdjuster adjuster(session, {});
    for (int round = 0; round < 3; ++round) {
      ASSERT_TRUE(adjuster.run(noise, false));
      estimate_noise(session, {}, noise);
    }
    EXPECT_NEAR(noise.phase_factor[0] / scale, 1, 0.15);
    EXPECT_NEAR(noise.code_factor[0] / scale, 1, 0.15);
  }
}

// kind: cross   the median of two known factors is their mean.
// tolerance: 1e-12, roundings
TEST(PppEdit, SystemWithFewRowsTakesTheMedianOfTheOthers) {
  Rows rows;
  rows.add(kG05, 600, 2);
  rows.add(kE11, 600, 1);
  rows.add(kC20, 20, 50);
  PppNoise noise;
  estimate_noise(rows.session, {}, noise);
  EXPECT_NEAR(noise.phase_factor[index_of(System::kBeidou)],
              (noise.phase_factor[index_of(System::kGps)] +
               noise.phase_factor[index_of(System::kGalileo)]) /
                  2,
              1e-12);
  Rows few;
  few.add(kC20, 20, 50);
  PppNoise usual;
  estimate_noise(few.session, {}, usual);
  EXPECT_EQ(usual.phase_factor[index_of(System::kBeidou)], 1);
}

TEST(PppEdit, RowsWithoutAModelSayNothing) {
  Rows rows;
  rows.add(kG05, 600, 1);
  const PppSession before = rows.session;
  PppNoise a, b;
  estimate_noise(rows.session, {}, a);
  rows.add(kG05, 600, 40);
  for (std::size_t i = 600; i < 1200; ++i) {
    rows.session.rows[i].flags = kRowNoModel;
  }
  estimate_noise(rows.session, {}, b);
  EXPECT_EQ(a.phase_factor, b.phase_factor);
  EXPECT_EQ(a.code_factor, b.code_factor);
}

TEST(PppEdit, OutliersGoAndComeBack) {
  Rows rows;
  rows.add(kG05, 100, 0.5);
  PppRow& row = rows.session.rows[40];
  const float phase_m = row.phase_residual_m, code_m = row.code_residual_m;
  row.phase_residual_m = 0.030F;
  row.code_residual_m = -4.0F;
  const PppNoise noise;
  EXPECT_EQ(edit_rows(rows.session, noise, {}, 2).changed, 2);
  EXPECT_FALSE(row.phase_used());
  EXPECT_FALSE(row.code_used());
  EXPECT_TRUE(row.modelled());
  EXPECT_EQ(edit_rows(rows.session, noise, {}, 2).changed, 0);
  row.phase_residual_m = phase_m;
  EXPECT_EQ(edit_rows(rows.session, noise, {}, 2).changed, 1);
  EXPECT_TRUE(row.phase_used());
  EXPECT_FALSE(row.code_used());
  row.code_residual_m = code_m;
  EXPECT_EQ(edit_rows(rows.session, noise, {}, 2).changed, 1);
  EXPECT_TRUE(row.code_used());
}

// Limits: 20, 8, then 6 sigmas; at 60 degrees sigmas are 4.6 mm and 0.57
// m.
TEST(PppEdit, LimitsBeginWide) {
  Rows rows;
  rows.add(kG05, 100, 0.1);
  rows.session.rows[10].code_residual_m = 4.0F;   // 7 sigmas
  rows.session.rows[11].code_residual_m = 6.0F;   // 10 sigmas
  rows.session.rows[12].code_residual_m = 14.0F;  // 24 sigmas
  const auto out = [&](int round) {
    PppSession s = rows.session;
    return edit_rows(s, {}, {}, round).changed;
  };
  EXPECT_EQ(out(0), 1);
  EXPECT_EQ(out(1), 2);
  EXPECT_EQ(out(2), 3);
  EXPECT_EQ(out(9), 3);
}

// A phase within 2.5 cm stays, however quiet the others are.
TEST(PppEdit, QuietPhasesAreNotEditedForACentimetre) {
  Rows rows;
  rows.add(kG05, 100, 0.1);
  PppNoise noise;
  noise.phase_factor.fill(0.1);
  rows.session.rows[10].phase_residual_m = 0.024F;
  EXPECT_EQ(edit_rows(rows.session, noise, {}, 5).changed, 0);
  rows.session.rows[10].phase_residual_m = 0.026F;
  EXPECT_EQ(edit_rows(rows.session, noise, {}, 5).changed, 1);
}

TEST(PppEdit, EverythingStaysWhereThatIsAskedFor) {
  Rows rows;
  rows.add(kG05, 100, 1);
  rows.session.rows[10].phase_residual_m = 1;
  const EditCount count =
      edit_rows(rows.session, {}, {Term::kOutlierRejection}, 5);
  EXPECT_EQ(count.changed, 0);
  EXPECT_TRUE(rows.session.rows[10].phase_used());
}

// A step of 6 cm about the mean of the arc: -3 and +3 cm.
TEST(PppEdit, ArcThatStepsIsCutThere) {
  Rows rows;
  rows.add(kE11, 100, 1);
  rows.add(kG05, 100, 0.5);
  for (std::size_t i = 100; i < 200; ++i) {
    rows.session.rows[i].phase_residual_m += i < 150 ? -0.03F : 0.03F;
  }
  EXPECT_EQ(edit_rows(rows.session, {}, {}, 0).split, 1);
  ASSERT_EQ(rows.session.arcs.size(), 3U);
  EXPECT_EQ(rows.session.arcs[1].rows, 50);
  EXPECT_EQ(rows.session.arcs[2].rows, 50);
  EXPECT_EQ(rows.session.arcs[2].sat, kG05);
  EXPECT_EQ(rows.session.arcs[1].first, Rows::time_of(0));
  EXPECT_EQ(rows.session.arcs[1].last, Rows::time_of(49));
  EXPECT_EQ(rows.session.arcs[2].first, Rows::time_of(50));
  EXPECT_EQ(rows.session.arcs[2].last, Rows::time_of(99));
  for (std::size_t i = 0; i < 200; ++i) {
    EXPECT_EQ(rows.session.rows[i].arc, i < 100 ? 0U : i < 150 ? 1U : 2U);
  }
  EXPECT_NE(rows.session.rows[150].flags & kRowSlip, 0);
  // With the step gone there is nothing more to cut.
  for (std::size_t i = 100; i < 200; ++i) {
    rows.session.rows[i].phase_residual_m -= i < 150 ? -0.03F : 0.03F;
  }
  EXPECT_EQ(edit_rows(rows.session, {}, {}, 0).split, 0);
}

TEST(PppEdit, ArcThatBendsOrStepsALittleIsLeftWhole) {
  Rows bent;
  bent.add(kG05, 100, 0.5);
  Rows small = bent;
  for (std::size_t i = 0; i < 100; ++i) {
    bent.session.rows[i].phase_residual_m +=
        0.0012F * (static_cast<float>(i) - 50);
    small.session.rows[i].phase_residual_m += i < 50 ? -0.015F : 0.015F;
  }
  EXPECT_EQ(edit_rows(bent.session, {}, {}, 0).split, 0);
  EXPECT_EQ(edit_rows(small.session, {}, {}, 0).split, 0);
}

}  // namespace
}  // namespace stillpoint::solve
