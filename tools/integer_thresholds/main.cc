// Makes and checks the thresholds of the ratio test; docs/integers.md.
//
//   integer_thresholds table SEED DRAWS   the tables of integer_thresholds.cc,
//                                         DRAWS for each entry and family
//   integer_thresholds check SEED DRAWS   fix_integers by other shapes; exit 1
//                                         where a rate is not kept
#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <functional>
#include <limits>
#include <string_view>
#include <vector>

#include "draws.h"
#include "geometry.h"
#include "stillpoint/math/integer_fix.h"
#include "stillpoint/math/integer_search.h"
#include "stillpoint/math/integer_thresholds.h"

namespace {

using namespace integer_thresholds;
using namespace stillpoint::math;
using Shape = Eigen::MatrixXd (*)(Random&, int);

constexpr std::array kCounts = {1, 2, 3, 4, 6, 8, 12, 16, 24, 40};
constexpr std::array kFailures = {3e-4, 1e-3, 3e-3, 1e-2, 3e-2, 0.1, 0.3};
constexpr std::array kRates = {0.001, 0.01};
constexpr int kDrawsOfShape = 100;

// Ratios of the wrong ones for each bound of failure, by the same shapes.
struct Column {
  std::array<std::vector<double>, kFailures.size()> wrong;
  std::int64_t draws = 0;
};

Column measure(Random& random, Shape shape, int n, std::int64_t draws) {
  Column column;
  while (column.draws < draws) {
    const auto found = decorrelate(shape(random, n));
    if (!found) {
      continue;
    }
    column.draws += kDrawsOfShape;
    for (std::size_t j = 0; j < kFailures.size(); ++j) {
      const IntegerLattice lattice = scaled_to(*found, kFailures[j]);
      for (int k = 0; k < kDrawsOfShape; ++k) {
        const auto best = search_integers(
            draw(random, lattice), lattice.factor, lattice.variances_cyc2, 2);
        if (!best.found || !best.vectors.col(0).isZero(0)) {
          column.wrong[j].push_back(
              best.found ? best.squared_norms(1) / best.squared_norms(0) : 0);
        }
      }
    }
  }
  return column;
}

// Least ratio by which even the upper bound of what is wrong and accepted keeps
// the part of the rate that one set has.
double threshold_of(std::vector<double> wrong,
                    std::int64_t draws,
                    double rate) {
  std::sort(wrong.begin(), wrong.end(), std::greater<>());
  // The first of the row that must not pass any more.
  std::size_t pass = 0, most = wrong.size();
  while (pass < most) {
    const std::size_t middle = (pass + most) / 2;
    if (upper_rate(static_cast<std::int64_t>(middle) + 1, draws) <=
        rate / kMostSets) {
      pass = middle + 1;
    } else {
      most = middle;
    }
  }
  return pass < wrong.size() ? wrong[pass] : 1;
}

// To three digits.
double rounded_up(double ratio) {
  if (ratio <= 1) {
    return 1;
  }
  const double unit = std::pow(10.0, std::floor(std::log10(ratio)) - 2);
  return (std::floor(ratio / unit) + 1) * unit;
}

using Row = std::array<double, kFailures.size()>;
using Table = std::array<Row, kCounts.size()>;

// The greater of what is there and of what these draws ask for.
void take(const Column& column,
          std::size_t i,
          std::array<Table, kRates.size()>& tables) {
  for (std::size_t j = 0; j < kFailures.size(); ++j) {
    std::printf("// n %2d bound %.4f failed %.5f ratio",
                kCounts[i],
                kFailures[j],
                static_cast<double>(column.wrong[j].size()) /
                    static_cast<double>(column.draws));
    for (std::size_t r = 0; r < kRates.size(); ++r) {
      const double ratio =
          threshold_of(column.wrong[j], column.draws, kRates[r]);
      std::printf(" %.3f", ratio);
      double& entry = tables[r][i][j];
      // Nor does a threshold become smaller as failure becomes likelier.
      entry =
          std::max({entry, rounded_up(ratio), j > 0 ? tables[r][i][j - 1] : 1});
    }
    std::printf("\n");
  }
  std::fflush(stdout);
}

int table(unsigned seed, std::int64_t draws) {
  std::array<Table, kRates.size()> tables{};
  for (std::size_t i = 0; i < kCounts.size(); ++i) {
    Random random(seed + 1000 * i);
    for (const Shape shape : {baseline, station_arcs}) {
      // The larger are slower, and their thresholds differ less.
      const std::int64_t part = kCounts[i] > 24 ? 20 : kCounts[i] > 12 ? 4 : 1;
      take(measure(random, shape, kCounts[i], draws / part), i, tables);
    }
  }
  for (std::size_t r = 0; r < kRates.size(); ++r) {
    std::printf("// %g\n", kRates[r]);
    for (const auto& row : tables[r]) {
      std::printf("    Row{");
      for (std::size_t j = 0; j < row.size(); ++j) {
        std::printf("%s%.4g", j > 0 ? ", " : "", row[j]);
      }
      std::printf("},\n");
    }
  }
  return 0;
}

struct Tally {
  std::int64_t draws = 0, sets = 0, wrong = 0, integers = 0, all = 0;
};

// One draw of a covariance, its scale anywhere from hopeless to certain.
void try_once(Random& random, Shape shape, int n, double rate, Tally& tally) {
  const auto found = decorrelate(shape(random, n));
  if (!found) {
    return;
  }
  const double failure = std::pow(10.0, uniform(random, -4, 0)) * 0.999;
  const auto lattice = scaled_to(*found, failure);
  // Back to where the values were: Z is of whole numbers, as is its inverse.
  Eigen::MatrixXd back = found->transform.inverse();
  back = back.array().round();
  const Eigen::MatrixXd root = back.transpose() * lattice.factor.transpose();
  const Eigen::MatrixXd covariance =
      root * lattice.variances_cyc2.asDiagonal() * root.transpose();
  const Eigen::VectorXd truth = (1e3 * normals(random, n)).array().round();
  const Eigen::VectorXd values =
      truth + back.transpose() * draw(random, lattice);
  const IntegerFix fix =
      fix_integers(values, covariance, {.failure_rate = rate, .fewest = 1});
  ++tally.draws;
  tally.all += n;
  tally.integers += fix.count();
  if (fix.count() > 0) {
    ++tally.sets;
    tally.wrong +=
        (fix.combinations.transpose() * truth - fix.values).isZero(0) ? 0 : 1;
  }
}

int check(unsigned seed, std::int64_t draws) {
  struct Named {
    const char* name;
    Shape shape;
  };
  constexpr std::array<Named, 4> kShapes = {{{"spectrum", spectrum},
                                             {"chain", chain},
                                             {"triangle", triangle},
                                             {"common", common}}};
  bool kept = true;
  for (const double rate : kRates) {
    Tally all;
    for (const Named& named : kShapes) {
      Random random(seed + static_cast<unsigned>(named.name[0]));
      Tally tally;
      const auto most = draws / static_cast<std::int64_t>(kShapes.size());
      while (tally.draws < most) {
        try_once(random, named.shape, whole(random, 4, 40), rate, tally);
      }
      std::printf(
          "rate %.3f %-9s draws %lld fixed %.4f integers %.4f "
          "wrong %lld upper %.6f\n",
          rate,
          named.name,
          static_cast<long long>(tally.draws),
          static_cast<double>(tally.sets) / static_cast<double>(tally.draws),
          static_cast<double>(tally.integers) / static_cast<double>(tally.all),
          static_cast<long long>(tally.wrong),
          upper_rate(tally.wrong, tally.draws));
      all.draws += tally.draws;
      all.wrong += tally.wrong;
      all.sets += tally.sets;
    }
    const double upper = upper_rate(all.wrong, all.draws);
    const bool good = upper <= 3 * rate && all.sets > all.draws / 4;
    kept = kept && good;
    std::printf(
        "rate %.3f all       draws %lld fixed %.4f wrong %.6f "
        "upper %.6f (at most %.4f)%s\n",
        rate,
        static_cast<long long>(all.draws),
        static_cast<double>(all.sets) / static_cast<double>(all.draws),
        static_cast<double>(all.wrong) / static_cast<double>(all.draws),
        upper,
        3 * rate,
        good ? "" : " NOT KEPT");
  }
  return kept ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  std::setvbuf(stdout, nullptr, _IOLBF, 0);
  if (argc == 4) {
    const auto seed = static_cast<unsigned>(std::strtoul(argv[2], nullptr, 10));
    const std::int64_t draws = std::strtoll(argv[3], nullptr, 10);
    if (draws > 0 && std::string_view(argv[1]) == "table") {
      return table(seed, draws);
    }
    if (draws > 0 && std::string_view(argv[1]) == "check") {
      return check(seed, draws);
    }
  }
  std::fprintf(stderr, "usage: integer_thresholds table|check SEED DRAWS\n");
  return 2;
}
