// The chi-square distribution for a whole number of degrees of freedom: how
// rare a sum of squared normalised residuals is.
#pragma once

namespace stillpoint::solve {

// Probability that a chi-square value is larger than `x`.
//
//   dof       1 and more
//   returns   1 for x <= 0
//   accuracy  1e-12 of the value where it is above 1e-250
//   source    the finite series for whole degrees of freedom: Abramowitz and
//             Stegun, "Handbook of Mathematical Functions", 26.4.4 and 26.4.5
//             (from memory)
double chi_square_tail(double x, int dof);

// The value that is exceeded with probability `tail`.
//
//   tail      1e-200 .. below 1
//   accuracy  1e-11 of the value
double chi_square_limit(double tail, int dof);

}  // namespace stillpoint::solve
