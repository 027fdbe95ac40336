#include "stillpoint/solve/chi_square.h"

#include <gtest/gtest.h>

#include <array>
#include <cmath>

namespace stillpoint::solve {
namespace {

struct TableRow {
  int dof;
  double at_0_01, at_0_001;
};

// kind: published; source: tables of upper critical values of the chi-square
// distribution as in every statistics handbook, from memory
// tolerance: 1.1e-3, three printed decimals, the last of which differs between
// tables that cut and tables that round
TEST(ChiSquareLimit, AgreesWithTheTables) {
  constexpr std::array kTable{
      TableRow{1, 6.635, 10.828},
      TableRow{2, 9.210, 13.816},
      TableRow{3, 11.345, 16.266},
      TableRow{6, 16.812, 22.458},
      TableRow{9, 21.666, 27.877},
      TableRow{10, 23.209, 29.588},
      TableRow{30, 50.892, 59.703},
  };
  for (const TableRow& row : kTable) {
    EXPECT_NEAR(chi_square_limit(0.01, row.dof), row.at_0_01, 1.1e-3);
    EXPECT_NEAR(chi_square_limit(0.001, row.dof), row.at_0_001, 1.1e-3);
  }
}

// kind: cross, the slope of the tail by central differences against the
// distribution's density
// tolerance: what such differences leave, doubled: a sixth of the step squared
// times the density's second derivative (by its logarithm's, written out), and
// the rounding of the tail over the step
TEST(ChiSquareTail, FallsByItsDensity) {
  for (const int dof : {1, 2, 3, 4, 5, 6, 15, 60}) {
    for (const double share : {0.4, 1.0, 2.0, 3.5}) {
      const double x = share * dof;
      const double step = 1e-4 * x;
      const double slope =
          (chi_square_tail(x - step, dof) - chi_square_tail(x + step, dof)) /
          (2 * step);
      const double k = dof / 2.0;
      const double density = std::exp((k - 1) * std::log(x) - x / 2 -
                                      k * std::log(2.0) - std::lgamma(k));
      const double log_slope = (k - 1) / x - 0.5;
      const double bend = log_slope * log_slope + std::abs(k - 1) / (x * x);
      const double left = step * step / 6 * bend;
      const double rounding =
          2e-16 * chi_square_tail(x, dof) / (step * density) + 1e-13;
      EXPECT_NEAR(slope / density, 1, 2 * (left + rounding)) << dof << " " << x;
    }
  }
}

// kind: cross, the two functions undo each other   tolerance: 1e-10 of the
// probability, which grows by half of the limit's 1e-11 and more
TEST(ChiSquareLimit, IsTheInverseOfTheTail) {
  for (const int dof : {1, 3, 6, 57, 300}) {
    for (const double tail : {0.5, 0.01, 0.001, 1e-9}) {
      const double back = chi_square_tail(chi_square_limit(tail, dof), dof);
      EXPECT_NEAR(back / tail, 1, 1e-10) << dof << " " << tail;
    }
  }
  EXPECT_EQ(chi_square_tail(0, 3), 1);
  EXPECT_EQ(chi_square_tail(-1, 3), 1);
}

}  // namespace
}  // namespace stillpoint::solve
