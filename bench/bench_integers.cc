// integers_search     best and second best of 30 ambiguities, 100 float vectors
//                     (already decorrelated, as a position with many epochs
//                     searches)
// integers_fix        the same from the covariance: decorrelation, sets, test
// integers_cholesky   a bare Cholesky factor of the same 30 x 30, 100 times:
//                     what both are measured against
//
// Input: 30 double differences of a simulated baseline of
// tools/integer_thresholds, scaled so that one bootstrapped fix of a hundred
// would be wrong; 100 float vectors drawn from it.
#include <benchmark/benchmark.h>

#include <Eigen/Dense>
#include <vector>

#include "stillpoint/math/integer_fix.h"
#include "stillpoint/math/integer_lattice.h"
#include "stillpoint/math/integer_search.h"
#include "tools/integer_thresholds/draws.h"
#include "tools/integer_thresholds/geometry.h"

namespace {

using namespace stillpoint::math;

constexpr int kSize = 30, kVectors = 100, kCandidates = 2;

struct Input {
  Eigen::MatrixXd covariance;
  IntegerLattice lattice;
  std::vector<Eigen::VectorXd> values, decorrelated;

  Input() {
    integer_thresholds::Random random(30);
    covariance = integer_thresholds::baseline(random, kSize);
    const auto found = decorrelate(covariance);
    lattice = integer_thresholds::scaled_to(found.value(), 0.01);
    covariance *= lattice.variances_cyc2(0) / found->variances_cyc2(0);
    const Eigen::LLT<Eigen::MatrixXd> llt(covariance);
    for (int k = 0; k < kVectors; ++k) {
      values.emplace_back(llt.matrixL() *
                          integer_thresholds::normals(random, kSize));
      decorrelated.emplace_back(lattice.transform.transpose() * values.back());
    }
  }
};

const Input& input() {
  static const Input made;
  return made;
}

void integers_search(benchmark::State& state) {
  const Input& in = input();
  std::int64_t nodes = 0;
  for (auto _ : state) {
    for (const Eigen::VectorXd& value : in.decorrelated) {
      const auto found = search_integers(
          value, in.lattice.factor, in.lattice.variances_cyc2, kCandidates);
      if (!found.found) {
        state.SkipWithError("not found");
        return;
      }
      nodes += found.nodes;
    }
  }
  state.counters["nodes"] =
      benchmark::Counter(static_cast<double>(nodes) / kVectors,
                         benchmark::Counter::kAvgIterations);
}
BENCHMARK(integers_search)->Unit(benchmark::kMillisecond);

void integers_fix(benchmark::State& state) {
  const Input& in = input();
  for (auto _ : state) {
    for (const Eigen::VectorXd& value : in.values) {
      benchmark::DoNotOptimize(fix_integers(value, in.covariance));
    }
  }
}
BENCHMARK(integers_fix)->Unit(benchmark::kMillisecond);

void integers_cholesky(benchmark::State& state) {
  const Input& in = input();
  Eigen::LLT<Eigen::MatrixXd> llt(kSize);
  for (auto _ : state) {
    for (int k = 0; k < kVectors; ++k) {
      llt.compute(in.covariance);
      benchmark::DoNotOptimize(llt.matrixLLT().data());
      benchmark::ClobberMemory();
    }
  }
}
BENCHMARK(integers_cholesky)->Unit(benchmark::kMillisecond);

}  // namespace
