#include "stillpoint/solve/ppp_wide_lane.h"

#include <gtest/gtest.h>

#include <cmath>
#include <map>

#include "stillpoint/solve/ppp_arcs.h"
#include "stillpoint/solve/ppp_scene_for_tests.h"

namespace stillpoint::solve {
namespace {

using test::gps;
using test::Scene;

// Any fraction; neighbours far apart.
double bias_cyc(int number) {
  return std::fmod(0.37 * number, 1.0) - 0.5;
}

PreciseClocks clocks_with_biases(double sign, const PppSession& session) {
  ClockProduct product;
  product.epochs = {session.epochs.front().time, session.epochs.back().time};
  for (int number = 1; number <= 24; ++number) {
    product.wide_lane.push_back({gps(number),
                                 session.epochs.front().time,
                                 sign * bias_cyc(number),
                                 '1',
                                 '2'});
  }
  PreciseClocks clocks;
  clocks.add(std::move(product));
  return clocks;
}

// The scene's phases are 1000 n + 17 and 900 n - 5 cycles; each satellite's
// wide lane is less by its bias, and the receiver's constant drifts.
PppSession session_of(const Scene& scene, double drift_cyc) {
  PppSession session;
  test::observe(scene, 0, 480, session);
  for (std::size_t k = 0; k < session.epochs.size(); ++k) {
    const double drift = drift_cyc * static_cast<double>(k) / 480;
    for (PppRow& r : session.rows_of(session.epochs[k])) {
      r.phase_first_m +=
          test::kFirstM * (drift - bias_cyc(static_cast<int>(r.sat.number)));
    }
  }
  test::compute(scene, session);
  find_arcs(session);
  finish_arcs(session);
  return session;
}

Scene noisy() {
  Scene scene;
  scene.phase_noise_m = 0.001;
  scene.code_noise_m = 0.2;
  return scene;
}

// Whole number minus 100 n, and how many arcs have it.
std::map<std::int64_t, int> offsets_of(const PppSession& session,
                                       const PppWideLanes& lanes) {
  std::map<std::int64_t, int> counts;
  for (std::size_t a = 0; a < session.arcs.size(); ++a) {
    if (lanes.whole[a]) {
      ++counts[*lanes.whole[a] -
               std::int64_t{100} * session.arcs[a].sat.number];
    }
  }
  return counts;
}

// kind: cross   whole numbers that the scene was made with, up to one that all
// share. The constant drifts by more than a cycle, as no mean of the session
// could follow.
TEST(PppWideLane, WholeNumbersAreThoseOfTheScene) {
  for (const double drift : {0.0, 1.2}) {
    const PppSession session = session_of(noisy(), drift);
    const PreciseClocks clocks = clocks_with_biases(1, session);
    PppAids aids;
    aids.clocks = &clocks;
    const PppWideLanes lanes = find_wide_lanes(session, aids);
    EXPECT_EQ(lanes.basis[static_cast<std::size_t>(System::kGps)],
              IntegerBasis::kIntegerClocks);
    const auto counts = offsets_of(session, lanes);
    ASSERT_EQ(counts.size(), 1U) << drift;
    EXPECT_GE(counts.begin()->second, 10) << drift;
  }
}

// kind: cross   with the sign of the biases turned, fractions of all sizes are
// left: what is called safe would be the scene's by chance only.
TEST(PppWideLane, TheSignOfTheBiasMatters) {
  const PppSession session = session_of(noisy(), 0);
  const PreciseClocks clocks = clocks_with_biases(-1, session);
  PppAids aids;
  aids.clocks = &clocks;
  EXPECT_NE(offsets_of(session, find_wide_lanes(session, aids)).size(), 1U);
}

// kind: cross   a metre and a half of code noise: no arc may be told wrong.
TEST(PppWideLane, NoiseLeavesArcsOutAndTellsNoneWrong) {
  Scene scene = noisy();
  scene.code_noise_m = 1.5;
  const PppSession session = session_of(scene, 0);
  const PreciseClocks clocks = clocks_with_biases(1, session);
  PppAids aids;
  aids.clocks = &clocks;
  EXPECT_LE(offsets_of(session, find_wide_lanes(session, aids)).size(), 1U);
}

TEST(PppWideLane, NothingMakesIntegersWithoutAProductThatSaysSo) {
  PppSession session = session_of(noisy(), 0);
  const PppWideLanes none = find_wide_lanes(session, {});
  EXPECT_FALSE(none.any_basis());
  EXPECT_NE(basis_words(none).find("neither"), std::string::npos);
  // Codes of another signal than the clocks are of.
  const PreciseClocks clocks = clocks_with_biases(1, session);
  PppAids aids;
  aids.clocks = &clocks;
  for (PppRow& r : session.rows) {
    r.code_first.attribute = 'C';
  }
  EXPECT_FALSE(find_wide_lanes(session, aids).any_basis());
}

// kind: cross   biases of codes and phases put in as metres and as a product
// states them, in nanoseconds.
TEST(PppWideLane, BiasesOfEveryObservableAreABasisToo) {
  PppSession session = session_of(noisy(), 0);
  BiasProduct product;
  const char* const names[] = {"C1W", "C2W", "L1W", "L2W"};
  const auto bias_ns = [](int number, int which) {
    return 0.9 * number - 7.0 * which + 0.31 * number * which;
  };
  for (int number = 1; number <= 24; ++number) {
    for (int which = 0; which < 4; ++which) {
      BiasRow row;
      row.satellite = gps(number);
      row.first = names[which];
      row.value = bias_ns(number, which);
      product.rows.push_back(row);
    }
  }
  CodePhaseBiases biases;
  ASSERT_TRUE(biases.add(product));
  for (PppRow& r : session.rows) {
    const auto metres = [&](int which) {
      return kSpeedOfLightMps * 1e-9 * bias_ns(r.sat.number, which);
    };
    r.code_first_m += metres(0);
    r.code_second_m += metres(1);
    r.phase_first_m +=
        metres(2) + test::kFirstM * bias_cyc(static_cast<int>(r.sat.number));
    r.phase_second_m += metres(3);
  }
  PppAids aids;
  aids.biases = &biases;
  const PppWideLanes lanes = find_wide_lanes(session, aids);
  EXPECT_EQ(lanes.basis[static_cast<std::size_t>(System::kGps)],
            IntegerBasis::kPhaseBiases);
  const auto counts = offsets_of(session, lanes);
  ASSERT_EQ(counts.size(), 1U);
  EXPECT_GE(counts.begin()->second, 10);
}

}  // namespace
}  // namespace stillpoint::solve
