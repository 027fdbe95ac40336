#include "stillpoint/solve/chi_square.h"

#include <cmath>
#include <numbers>

#include "stillpoint/core/check.h"

namespace stillpoint::solve {

double chi_square_tail(double x, int dof) {
  STILLPOINT_CHECK(dof >= 1);
  if (!(x > 0)) {
    return std::isnan(x) ? x : 1;
  }
  // Q(a + 1) = Q(a) + h^a exp(-h) / Gamma(a + 1), with h = x / 2 and from
  // Q(1/2) = erfc(sqrt h) or Q(1) = exp(-h) on.
  const double half = x / 2;
  const bool odd = dof % 2 == 1;
  double a = odd ? 0.5 : 1;
  double sum = odd ? std::erfc(std::sqrt(half)) : std::exp(-half);
  double term = odd ? 2 * std::sqrt(half / std::numbers::pi) * std::exp(-half)
                    : half * std::exp(-half);
  for (int k = odd ? 1 : 2; k < dof; k += 2) {
    sum += term;
    a += 1;
    term *= half / a;
  }
  return sum;
}

double chi_square_limit(double tail, int dof) {
  STILLPOINT_CHECK(tail > 0 && tail < 1);
  double low = 0;
  double high = dof;
  while (chi_square_tail(high, dof) > tail) {
    low = high;
    high *= 2;
  }
  // Halving to the last digits of a double.
  for (int i = 0; i < 60; ++i) {
    const double middle = (low + high) / 2;
    (chi_square_tail(middle, dof) > tail ? low : high) = middle;
  }
  return (low + high) / 2;
}

}  // namespace stillpoint::solve
