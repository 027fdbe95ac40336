#include "stillpoint/solve/tie_sigma.h"

#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <random>

#include "stillpoint/solve/ppp_state.h"
#include "stillpoint/solve/tie_scene_for_tests.h"

namespace stillpoint::solve {
namespace {

using test::ready_tie;
using test::TieScene;
using Influence = TieAdjuster::Influence;

// What tie_sigma.cc assumes of phases and codes (docs/integers.md).
constexpr double kShare = 0.6, kMemoryS = 150;
constexpr double kSlowM = 0.0006, kSlowS = 6000;
constexpr double kMediumM = 0.0012, kMediumS = 600;
constexpr double kSlowCodeM = 0.15;
constexpr double kIonosphereS = 1200, kSlopeS = 5400;

TieAir some_air() {
  TieAir air;
  air.ionosphere = TieIonosphere::kConstrained;
  air.ionosphere_m = 0.004;
  air.slope_m = 0.006;
  air.zenith_m = 0.003;
  air.zenith_walk_m = 1e-6;  // as good as constant
  return air;
}

// Two bands of a few satellites with influences at random; rows edited out and
// a gap.
struct Case {
  TieSession session;
  std::vector<Influence> influences;
  TieNoise noise;

  Case() : session(ready_tie(TieScene(), 30)), noise(2) {
    std::mt19937 random(11);
    std::normal_distribution<double> normal;
    for (std::size_t k = 20; k < session.epochs.size(); ++k) {
      session.epochs[k].time = session.epochs[k].time + Duration{900};
    }
    influences.resize(session.rows.size());
    for (std::size_t i = 0; i < session.rows.size(); ++i) {
      for (int axis = 0; axis < 3; ++axis) {
        influences[i].phase(axis) = normal(random);
        influences[i].code(axis) = 0.01 * normal(random);
      }
      session.rows[i].flags = i % 9 == 1    ? kTiePhaseOut
                              : i % 11 == 2 ? kTieCodeOut
                                            : 0;
    }
    noise.phase_factor = {1.3, 0.7};
    noise.code_factor = {0.8, 2.0};
  }
};

struct Entry {
  const TieSight* sight;
  const TieRow* row;
  GnssTime time;
  Eigen::Vector3d phase, code;  // zero where not used
};

std::vector<Entry> entries_of(const Case& c) {
  std::vector<Entry> all;
  for (std::size_t k = 0; k < c.session.epochs.size(); k += c.session.stride) {
    for (const TieSight& s : c.session.sights_of(c.session.epochs[k])) {
      for (std::uint32_t j = s.first; s.modelled && j < s.first + s.count;
           ++j) {
        const TieRow& r = c.session.rows[j];
        Entry e{&s,
                &r,
                c.session.epochs[k].time,
                Eigen::Vector3d::Zero(),
                Eigen::Vector3d::Zero()};
        if (r.phase_used()) {
          e.phase = c.influences[j].phase;
        }
        if (r.code_used()) {
          e.code = c.influences[j].code;
        }
        all.push_back(e);
      }
    }
  }
  return all;
}

// kind: cross   G C G^T with the whole matrix C of all rows, built pair by pair
// from what is assumed: errors of a satellite and group with their memories,
// the ionosphere of a satellite and the slope of all, one zenith delay.
// tolerance: 1e-10 of it, roundings of 10^5 terms
TEST(TieSigma, AddsUpOverAllPairsOfRows) {
  for (const std::size_t stride : {std::size_t{1}, std::size_t{3}}) {
    Case c;
    c.session.stride = stride;
    const TieAir air = some_air();
    const auto all = entries_of(c);
    Eigen::Matrix3d expected = Eigen::Matrix3d::Zero();
    for (const Entry& a : all) {
      for (const Entry& b : all) {
        const double apart_s = std::abs((a.time - b.time).s);
        const auto kept = [&](double memory_s) {
          return std::exp(-apart_s / memory_s);
        };
        const auto low = [](const Entry& e) {
          return 1 / std::sin(static_cast<double>(e.sight->elevation_rad));
        };
        const bool same_sat = a.sight->sat == b.sight->sat;
        if (same_sat && a.row->group == b.row->group) {
          const std::size_t g = a.row->group;
          const double lasting = a.row == b.row ? 1 : kShare * kept(kMemoryS);
          expected += std::pow(c.noise.phase_factor[g], 2) *
                      tie_phase_sigma_m(*a.sight, *a.row, {}) *
                      tie_phase_sigma_m(*b.sight, *b.row, {}) * lasting *
                      a.phase * b.phase.transpose();
          expected += std::pow(c.noise.code_factor[g], 2) *
                      tie_code_sigma_m(*a.sight, *a.row, {}) *
                      tie_code_sigma_m(*b.sight, *b.row, {}) * lasting *
                      a.code * b.code.transpose();
          expected += low(a) * low(b) *
                      (kSlowM * kSlowM * kept(kSlowS) +
                       kMediumM * kMediumM * kept(kMediumS)) *
                      a.phase * b.phase.transpose();
          expected += low(a) * low(b) * kSlowCodeM * kSlowCodeM * kept(kSlowS) *
                      a.code * b.code.transpose();
        }
        const auto delay = [](const Entry& e) -> Eigen::Vector3d {
          return ionosphere_factor(*e.sight, e.row->wavelength_m) *
                 (e.code - e.phase);
        };
        expected +=
            ((same_sat ? std::pow(air.ionosphere_m, 2) * kept(kIonosphereS)
                       : 0) +
             std::pow(air.slope_m, 2) * kept(kSlopeS)) *
            delay(a) * delay(b).transpose();
        const auto wet = [](const Entry& e) -> Eigen::Vector3d {
          return static_cast<double>(e.sight->wet_here) * (e.phase + e.code);
        };
        expected += air.zenith_m * air.zenith_m * wet(a) * wet(b).transpose();
      }
    }
    const Eigen::Matrix3d found =
        tie_covariance(c.session, c.influences, c.noise, air, 0, {});
    EXPECT_LT((found - expected).norm(), 1e-10 * expected.norm()) << stride;
  }
}

// An error that wanders about zero, by key.
class Wanderer {
 public:
  Wanderer(std::mt19937& random, double memory_s)
      : random_(random), memory_s_(memory_s) {}
  double at(int key, GnssTime t) {
    auto& now = now_[key];
    if (now.any && now.time == t) {
      return now.value;
    }
    const double kept = now.any ? std::exp(-(t - now.time).s / memory_s_) : 0;
    now.value =
        kept * now.value + std::sqrt(1 - kept * kept) * normal_(random_);
    now.time = t;
    now.any = true;
    return now.value;
  }

 private:
  struct Now {
    double value = 0;
    GnssTime time;
    bool any = false;
  };
  std::mt19937& random_;
  std::normal_distribution<double> normal_;
  double memory_s_;
  std::map<int, Now> now_;
};

// kind: cross   the assumed errors drawn 300 times, put on the rows of an
// error-free session and adjusted: how far the answers scatter.
// tolerance: 18 % of a sigma: 300 draws give it to 4 %, four of those
TEST(TieSigma, IsTheScatterOfTheErrorsThatAreAssumed) {
  TieScene scene;
  scene.baseline = {3000, -4000, 100};
  const TieSession clean = ready_tie(scene, 40);
  const TieNoise noise(clean.groups.size());
  const TieAir air = some_air();
  std::mt19937 random(3);
  std::normal_distribution<double> normal;
  constexpr int kDraws = 300;
  Eigen::Matrix3d scatter = Eigen::Matrix3d::Zero(), said;
  Eigen::Vector3d start = Eigen::Vector3d::Zero();
  for (int draw = -1; draw < kDraws; ++draw) {
    TieSession session = clean;
    Wanderer phase(random, kMemoryS), code(random, kMemoryS),
        slow(random, kSlowS), medium(random, kMediumS),
        slow_code(random, kSlowS), ionosphere(random, kIonosphereS),
        slope(random, kSlopeS);
    const double zenith_m = air.zenith_m * normal(random);
    for (const TieEpoch& epoch : session.epochs) {
      for (const TieSight& s : session.sights_of(epoch)) {
        for (TieRow& r : session.rows_of(s)) {
          if (!s.modelled || draw < 0) {
            continue;
          }
          const int key = 4 * s.sat.index() + r.group;
          const auto noise_of = [&](Wanderer& lasting) {
            return std::sqrt(kShare) * lasting.at(key, epoch.time) +
                   std::sqrt(1 - kShare) * normal(random);
          };
          const double low = 1 / std::sin(static_cast<double>(s.elevation_rad));
          const double delay_m =
              ionosphere_factor(s, r.wavelength_m) *
              (air.ionosphere_m * ionosphere.at(s.sat.index(), epoch.time) +
               air.slope_m * slope.at(0, epoch.time));
          const double wet_m = static_cast<double>(s.wet_here) * zenith_m;
          r.phase_m += tie_phase_sigma_m(s, r, {}) * noise_of(phase) +
                       low * kSlowM * slow.at(key, epoch.time) +
                       low * kMediumM * medium.at(key, epoch.time) - delay_m +
                       wet_m;
          r.code_m += tie_code_sigma_m(s, r, {}) * noise_of(code) +
                      low * kSlowCodeM * slow_code.at(key, epoch.time) +
                      delay_m + wet_m;
        }
      }
    }
    TieAdjuster adjuster(session, {});
    TieEstimate e;
    ASSERT_TRUE(adjuster.run(noise, air, true) && adjuster.finish(e));
    if (draw < 0) {
      start = e.dx_m;
      said = tie_covariance(
          session, adjuster.influences(noise), noise, air, 0, {});
    } else {
      scatter += (e.dx_m - start) * (e.dx_m - start).transpose() / kDraws;
    }
  }
  for (int axis = 0; axis < 3; ++axis) {
    EXPECT_NEAR(std::sqrt(scatter(axis, axis) / said(axis, axis)), 1, 0.18);
  }
}

// kind: cross; source: one metre and three centimetres over 22,000 km
// (tie_sigma.h).
TEST(TieSigma, OrbitsCountWithTheDistance) {
  const auto far = orbit_sigma_enu_m(600'000, true);
  EXPECT_NEAR(far[0], 0.5 * 600 / 22'000.0, 1e-12);
  EXPECT_NEAR(far[2], 1.5 * 600 / 22'000.0, 1e-12);
  EXPECT_NEAR(orbit_sigma_enu_m(600'000, false)[1], 0.03 * far[1], 1e-12);
  EXPECT_EQ(orbit_sigma_enu_m(0, true)[2], 0);
}

// Nothing of the ionosphere where it is taken for the same; what is free is in
// the influences already.
TEST(TieSigma, IonosphereCountsWhereItIsConstrained) {
  Case c;
  TieAir air = some_air();
  const auto trace = [&](TieIonosphere i, double length_m) {
    air.ionosphere = i;
    return tie_covariance(c.session, c.influences, c.noise, air, length_m, {})
        .trace();
  };
  const double none = trace(TieIonosphere::kNone, 0);
  EXPECT_GT(trace(TieIonosphere::kConstrained, 0), 1.01 * none);
  EXPECT_EQ(trace(TieIonosphere::kFree, 0), none);
  EXPECT_GT(trace(TieIonosphere::kFree, 500'000), 1.01 * none);
  EXPECT_GT(trace(TieIonosphere::kFree, 1'000'000),
            trace(TieIonosphere::kFree, 500'000));
  EXPECT_EQ(trace(TieIonosphere::kFree, 1'000'000),
            trace(TieIonosphere::kFree, 3'000'000));
}

// kind: cross   the judgement that docs/integers.md states: antennas of one
// type are alike to a millimetre, three of the combination; those of two types
// add, a third for a single band.
// tolerance: 1e-12 m
TEST(TieSigma, CalibrationsOfTwoTypesAdd) {
  const double mask = 0.17;
  for (const bool free : {false, true}) {
    const auto same = tie_calibration_sigma_enu_m(
        Calibration::kFull, Calibration::kFull, true, free, mask);
    const auto one = calibration_sigma_enu_m(Calibration::kFull, mask);
    const auto rough = calibration_sigma_enu_m(Calibration::kOffset, mask);
    const auto two = tie_calibration_sigma_enu_m(
        Calibration::kFull, Calibration::kOffset, false, free, mask);
    for (std::size_t i = 0; i < 3; ++i) {
      EXPECT_NEAR(same[i], free ? 0.003 : 0.001, 1e-12);
      EXPECT_NEAR(two[i], std::hypot(one[i], rough[i]) / (free ? 1 : 3), 1e-12);
    }
    EXPECT_GT(tie_calibration_sigma_enu_m(
                  Calibration::kNone, Calibration::kFull, false, free, mask)[2],
              two[2]);
  }
}

}  // namespace
}  // namespace stillpoint::solve
