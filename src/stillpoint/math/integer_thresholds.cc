#include "stillpoint/math/integer_thresholds.h"

#include <algorithm>
#include <array>
#include <cstddef>
#include <limits>

namespace stillpoint::math {
namespace {

// The table: what `integer_thresholds table 1 1000000` printed
// (docs/integers.md).
constexpr std::array kCounts = {1, 2, 3, 4, 6, 8, 12, 16, 24, 40};
constexpr std::array kFailures = {3e-4, 1e-3, 3e-3, 1e-2, 3e-2, 0.1, 0.3};
using Row = std::array<double, kFailures.size()>;
using Table = std::array<Row, kCounts.size()>;
constexpr Table kThousandth = {
    Row{1.11, 1.73, 2.67, 6.53, 33.8, 1.15e4, 3.16e6},
    Row{1.06, 1.58, 2.41, 4.94, 14.2, 145, 1660},
    Row{1.07, 1.49, 2.19, 3.8, 9.29, 38.4, 143},
    Row{1.07, 1.44, 2.1, 3.36, 6.5, 18.7, 41.1},
    Row{1.08, 1.34, 1.85, 2.74, 4.55, 7.88, 11.9},
    Row{1.04, 1.31, 1.71, 2.39, 3.46, 4.97, 6.06},
    Row{1.03, 1.26, 1.55, 1.98, 2.49, 3.13, 3.19},
    Row{1.05, 1.24, 1.5, 1.77, 2.04, 2.4, 2.4},
    Row{1.04, 1.19, 1.34, 1.51, 1.69, 1.79, 1.79},
    Row{1.06, 1.16, 1.26, 1.36, 1.44, 1.48, 1.48}};
constexpr Table kHundredth = {Row{1, 1, 1.1, 2.07, 5.41, 98.1, 2.56e4},
                              Row{1, 1, 1.07, 1.81, 3.75, 18, 153},
                              Row{1, 1, 1.06, 1.67, 3.09, 8.77, 28.4},
                              Row{1, 1, 1.06, 1.57, 2.63, 5.83, 12.3},
                              Row{1, 1, 1.03, 1.45, 2.14, 3.51, 5.14},
                              Row{1, 1, 1.03, 1.38, 1.9, 2.73, 3.34},
                              Row{1, 1, 1.03, 1.29, 1.62, 2.04, 2.2},
                              Row{1, 1, 1.04, 1.23, 1.48, 1.73, 1.77},
                              Row{1, 1, 1.02, 1.17, 1.33, 1.45, 1.46},
                              Row{1, 1, 1.04, 1.1, 1.19, 1.27, 1.27}};

}  // namespace

double ratio_threshold(int count, double failure_bound, double failure_rate) {
  constexpr double kNever = std::numeric_limits<double>::infinity();
  if (failure_bound <= failure_rate / kMostSets) {
    return 1;
  }
  const auto column =
      std::lower_bound(kFailures.begin(), kFailures.end(), failure_bound);
  if (!(failure_rate >= 0.001) || !(failure_bound <= kFailures.back()) ||
      count < 1) {
    return kNever;
  }
  const Table& table = failure_rate < 0.01 ? kThousandth : kHundredth;
  const auto c = static_cast<std::size_t>(column - kFailures.begin());
  const auto above = std::lower_bound(kCounts.begin(), kCounts.end(), count);
  if (above == kCounts.end()) {
    return table.back()[c];
  }
  const auto r = static_cast<std::size_t>(above - kCounts.begin());
  const double here = table[r][c];
  return *above == count ? here : std::max(here, table[r - 1][c]);
}

}  // namespace stillpoint::math
