// Covariances of ambiguities as receivers and satellites make them, without a
// clock, an orbit or a file: skies of random directions that turn slowly.
#pragma once

#include <Eigen/Dense>
#include <random>

namespace integer_thresholds {

using Random = std::mt19937_64;

double uniform(Random& random, double low, double high);
int whole(Random& random, int low, int high);
Eigen::VectorXd normals(Random& random, Eigen::Index n);

// Double differences of one baseline: one to three frequencies, one to thirty
// epochs, ionosphere known, bounded or free [cycles^2].
Eigen::MatrixXd baseline(Random& random, int n);

// Arcs of one station by the ionosphere-free combination, hours long, each
// against the first: position, zenith delay, a clock an epoch [cycles^2].
Eigen::MatrixXd station_arcs(Random& random, int n);

// What those two are not: drawn for the check of the thresholds.
//   spectrum   random axes, variances over several powers of ten
//   chain      neighbours correlated, as along a network or a day
//   triangle   random unit triangle, conditional variances in random order
//   common     independent values and a few weak directions in common
Eigen::MatrixXd spectrum(Random& random, int n);
Eigen::MatrixXd chain(Random& random, int n);
Eigen::MatrixXd triangle(Random& random, int n);
Eigen::MatrixXd common(Random& random, int n);

}  // namespace integer_thresholds
