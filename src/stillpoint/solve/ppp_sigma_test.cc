#include "stillpoint/solve/ppp_sigma.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>

#include "stillpoint/solve/ppp_arcs.h"
#include "stillpoint/solve/ppp_scene_for_tests.h"

namespace stillpoint::solve {
namespace {

using test::gps;
using Influence = PppAdjuster::Influence;

// Three satellites, epochs at odd steps, some rows edited out, influences at
// random.
struct Case {
  PppSession session;
  std::vector<Influence> influences;
  PppNoise noise;

  Case() {
    std::mt19937 random(11);
    std::normal_distribution<double> normal;
    double t_s = 0;
    for (int k = 0; k < 40; ++k) {
      t_s += k % 7 == 0 ? 900 : k % 3 == 0 ? 60 : 30;
      session.epochs.push_back({GnssTime::from_gps_week(2300, t_s),
                                static_cast<std::uint32_t>(session.rows.size()),
                                3});
      for (int number = 1; number <= 3; ++number) {
        PppRow row;
        row.sat = gps(number);
        row.elevation_rad = 0.3F * static_cast<float>(number);
        row.cn0_dbhz = 40;
        row.flags = k % 9 == number   ? kRowPhaseOut
                    : k % 8 == number ? kRowCodeOut
                                      : 0;
        session.rows.push_back(row);
        Influence i;
        for (int axis = 0; axis < 3; ++axis) {
          i.phase(axis) = normal(random);
          i.code(axis) = 0.01 * normal(random);
        }
        influences.push_back(i);
      }
    }
    noise.phase_factor.fill(1.3);
    noise.code_factor.fill(0.8);
  }
  [[nodiscard]] Eigen::Matrix3d covariance(const PppMemory& memory) const {
    return covariance_with_memory(session, influences, noise, memory, {});
  }
};

// kind: cross   G C G^T with C diagonal. What does not follow the noise (slow
// errors and constants of satellites, the air) is taken off as the covariance
// of no noise.
// tolerance: 1e-12 of it, roundings of 240 terms
TEST(PppSigma, WhiteErrorsAddUpAsTheSandwichSays) {
  Case c;
  const PppMemory white{0, 0};
  Eigen::Matrix3d expected = Eigen::Matrix3d::Zero();
  for (std::size_t i = 0; i < c.session.rows.size(); ++i) {
    const PppRow& r = c.session.rows[i];
    if (r.phase_used()) {
      expected += std::pow(1.3 * phase_sigma_m(r, {}), 2) *
                  c.influences[i].phase * c.influences[i].phase.transpose();
    }
    if (r.code_used()) {
      expected += std::pow(0.8 * code_sigma_m(r, {}), 2) *
                  c.influences[i].code * c.influences[i].code.transpose();
    }
  }
  const Eigen::Matrix3d with = c.covariance(white);
  c.noise.phase_factor.fill(0);
  c.noise.code_factor.fill(0);
  const Eigen::Matrix3d without = c.covariance(white);
  EXPECT_LT((with - without - expected).norm(), 1e-12 * with.norm());
}

// kind: cross   G C G^T with the whole matrix C of all rows, built pair by
// pair: the shares of the noise decay in 300 s (docs/sigma.md). The rest is
// taken off as above.
// tolerance: 1e-11 of it, roundings of 9 600 terms
TEST(PppSigma, NoiseWithAMemoryAddsUpOverAllPairs) {
  Case c;
  const PppMemory memory{0.6, 0.4};
  Eigen::Matrix3d expected = Eigen::Matrix3d::Zero();
  const auto time_of = [&](std::size_t row) {
    return c.session.epochs[row / 3].time;
  };
  for (std::size_t i = 0; i < c.session.rows.size(); ++i) {
    for (std::size_t j = i % 3; j < c.session.rows.size(); j += 3) {
      const PppRow &a = c.session.rows[i], &b = c.session.rows[j];
      const double kept =
          std::exp(-std::abs((time_of(i) - time_of(j)).s) / 300);
      if (a.phase_used() && b.phase_used()) {
        expected += 1.3 * phase_sigma_m(a, {}) * 1.3 * phase_sigma_m(b, {}) *
                    (i == j ? 1 : memory.phase_share * kept) *
                    c.influences[i].phase * c.influences[j].phase.transpose();
      }
      if (a.code_used() && b.code_used()) {
        expected += 0.8 * code_sigma_m(a, {}) * 0.8 * code_sigma_m(b, {}) *
                    (i == j ? 1 : memory.code_share * kept) *
                    c.influences[i].code * c.influences[j].code.transpose();
      }
    }
  }
  const Eigen::Matrix3d with = c.covariance(memory);
  c.noise.phase_factor.fill(0);
  c.noise.code_factor.fill(0);
  const Eigen::Matrix3d without = c.covariance(memory);
  EXPECT_LT((with - without - expected).norm(), 1e-11 * with.norm());
}

// G C G^T with the covariance of a random walk that begins with its prior,
// prior^2 + walk^2 * (the earlier time): zenith delay and gradients of
// ppp_adjust.h; and the mapping, one sigma for all.
Eigen::Matrix3d air_of(const Case& c) {
  Eigen::Matrix3d sum = Eigen::Matrix3d::Zero();
  const GnssTime first = c.session.epochs[0].time;
  for (std::size_t i = 0; i < c.session.rows.size(); ++i) {
    for (std::size_t j = 0; j < c.session.rows.size(); ++j) {
      const PppRow &a = c.session.rows[i], &b = c.session.rows[j];
      const double hours =
          (c.session.epochs[std::min(i, j) / 3].time - first).s / 3600;
      const auto walk = [hours](double prior_m, double walk_m) {
        return prior_m * prior_m + walk_m * walk_m * hours;
      };
      const double wet = static_cast<double>(a.wet_mapping) *
                         static_cast<double>(b.wet_mapping);
      const double doubt_m2 = static_cast<double>(a.mapping_doubt_m) *
                              static_cast<double>(b.mapping_doubt_m);
      const auto u = gradient_factors(a), v = gradient_factors(b);
      sum += (wet * walk(kZenithPriorM, kZenithWalkM) + doubt_m2 +
              (u[0] * v[0] + u[1] * v[1]) *
                  walk(kGradientPriorM, kGradientWalkM)) *
             (c.influences[i].phase + c.influences[i].code) *
             (c.influences[j].phase + c.influences[j].code).transpose();
    }
  }
  return sum;
}

// kind: cross   air_of(), pair by pair. Two skies that differ in the air alone,
// so that the rest goes out of their difference.
// tolerance: 1e-11 of it, roundings of 14 400 terms
TEST(PppSigma, AirIsARandomWalkForAllSatellites) {
  Case c;
  for (std::size_t i = 0; i < c.session.rows.size(); ++i) {
    PppRow& r = c.session.rows[i];
    // As of an adjustment: what is not used moves nothing.
    if (!r.phase_used()) {
      c.influences[i].phase.setZero();
    }
    if (!r.code_used()) {
      c.influences[i].code.setZero();
    }
    r.wet_mapping = 0;
  }
  Case other = c;
  for (std::size_t i = 0; i < c.session.rows.size(); ++i) {
    PppRow& r = other.session.rows[i];
    r.azimuth_rad = 0.7F * static_cast<float>(i);
    r.wet_mapping = 1 + 0.1F * static_cast<float>(i % 5);
    r.mapping_doubt_m = 0.1F * static_cast<float>(i % 4);
  }
  const Eigen::Matrix3d difference =
      other.covariance({0.5, 0.5}) - c.covariance({0.5, 0.5});
  const Eigen::Matrix3d expected = air_of(other) - air_of(c);
  EXPECT_LT((difference - expected).norm(), 1e-11 * expected.norm());
}

// A session of two rows, dt_s apart, that pull alike by their phases or by
// their codes; noise of no size, no air.
double alike(SatId first, SatId second, double dt_s, bool phase) {
  PppSession session;
  std::vector<Influence> influences;
  for (const SatId sat : {first, second}) {
    const auto k = static_cast<std::uint32_t>(session.rows.size());
    session.epochs.push_back({GnssTime::from_gps_week(2300, k * dt_s), k, 1});
    PppRow row;
    row.sat = sat;
    row.elevation_rad = static_cast<float>(std::numbers::pi / 2);
    row.wet_mapping = 0;
    session.rows.push_back(row);
    Influence i;
    (phase ? i.phase : i.code) = {1, 0, 0};
    influences.push_back(i);
  }
  PppNoise none;
  none.phase_factor.fill(0);
  none.code_factor.fill(0);
  return covariance_with_memory(session, influences, none, {}, {})(0, 0);
}

// kind: cross   errors that are the same twice count four times in the
// variance, independent ones twice; a code's constant is the satellite's and
// stays for the day, slow errors of phases fade within hours.
// tolerance: 1e-4 of it: a constant "for ever" is one for 1e9 s
TEST(PppSigma, ConstantsStayAndSlowErrorsFade) {
  const SatId a = gps(1), b = gps(2);
  const double code = alike(a, b, 60, false);
  EXPECT_NEAR(alike(a, a, 60, false) / code, 2, 1e-4);
  EXPECT_NEAR(alike(a, a, 80'000, false) / code, 2, 1e-4);
  const double phase = alike(a, b, 60, true);
  EXPECT_GT(phase, 0);
  EXPECT_GT(alike(a, a, 60, true), 1.9 * phase);
  EXPECT_LT(alike(a, a, 7200, true), 1.6 * phase);
  EXPECT_GT(alike(a, a, 7200, true), 1.05 * phase);
  EXPECT_NEAR(alike(a, a, 80'000, true) / phase, 1, 1e-4);
}

// Rows of one satellite that pull alike: what lasts does not average out.
TEST(PppSigma, GrowsWithTheMemory) {
  Case c;
  for (Influence& i : c.influences) {
    i.phase = {0.01, 0.02, -0.01};
    i.code = {0.001, 0, 0.002};
  }
  double before = 0;
  for (const double share : {0.0, 0.3, 0.6, 0.9}) {
    const double now = c.covariance({share, share}).trace();
    EXPECT_GT(now, before) << share;
    before = now;
  }
}

// The same with the influences of a real adjustment.
TEST(PppSigma, GrowsWithTheMemoryOfARealSession) {
  PppSession session = test::modelled(test::Scene(), 240);
  find_arcs(session);
  finish_arcs(session);
  PppAdjuster adjuster(session, {});
  ASSERT_TRUE(adjuster.run({}, false));
  const auto influences = adjuster.influences({});
  double before = 0;
  for (const double share : {0.1, 0.5, 0.95}) {
    const double now =
        covariance_with_memory(session, influences, {}, {share, share}, {})
            .trace();
    EXPECT_GT(now, before) << share;
    before = now;
  }
}

// Residuals with a share of their variance from a process that decays in 300 s.
PppMemory memory_of(double share, int epochs) {
  PppSession session;
  std::mt19937 random(5);
  std::normal_distribution<double> normal;
  const double decay = std::exp(-30.0 / 300);
  std::vector<double> slow(10);
  for (double& s : slow) {
    s = normal(random);
  }
  for (int k = 0; k < epochs; ++k) {
    session.epochs.push_back({GnssTime::from_gps_week(2300, 30.0 * k),
                              static_cast<std::uint32_t>(session.rows.size()),
                              10});
    for (int number = 1; number <= 10; ++number) {
      double& s = slow[static_cast<std::size_t>(number - 1)];
      s = decay * s + std::sqrt(1 - decay * decay) * normal(random);
      const double v =
          std::sqrt(share) * s + std::sqrt(1 - share) * normal(random);
      PppRow row;
      row.sat = gps(number);
      row.elevation_rad = 1;
      row.phase_residual_m = static_cast<float>(0.004 * v);
      row.code_residual_m = static_cast<float>(0.5 * v);
      session.rows.push_back(row);
    }
  }
  return estimate_memory(session, {}, {});
}

// kind: cross   the share that was put in; white noise gives the least share
// that is ever believed.
// tolerance: 0.08, four standard errors of 6 600 pairs (1 / sqrt(n) times
// exp(90 / 300) and the samples' own memory of 300 s, about 1.35 x 1.1)
TEST(PppSigma, MemoryIsThatOfTheResiduals) {
  for (const double share : {0.3, 0.7}) {
    const PppMemory found = memory_of(share, 2000);
    EXPECT_NEAR(found.phase_share, share, 0.08);
    EXPECT_NEAR(found.code_share, share, 0.08);
  }
  EXPECT_NEAR(memory_of(0, 2000).phase_share, 0.1, 0.04);
}

TEST(PppSigma, ShortSessionsKeepTheUsualShares) {
  const PppMemory found = memory_of(0.9, 100);  // 330 pairs
  EXPECT_EQ(found.phase_share, 0.5);
  EXPECT_EQ(found.code_share, 0.5);
}

}  // namespace
}  // namespace stillpoint::solve
