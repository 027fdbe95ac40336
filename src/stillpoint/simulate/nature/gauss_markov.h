// First-order Gauss-Markov processes that can be evaluated at any instant in
// any order: the same world whatever the sampling.
#pragma once

#include "stillpoint/simulate/nature/random.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::simulate {

// A stationary process with mean 0, variance 1 and the correlation
// exp(-|dt|/tau) between two instants. Independent values at the ends of
// blocks of eight correlation times, and bridges between them by halving;
// straight lines between points tau/256 apart.
//
//   key           which process
//   correlation_s tau [s], above 1e-3
//   accuracy      correlations to 0.0005 (the ends of neighbouring blocks are
//                 taken as independent); variance lower by at most 0.2 % inside
//                 the finest step
//   source        conditional mean and variance of a Gauss-Markov process
//                 between two known values: textbook algebra
//   threads       pure
double gauss_markov(const RandomKey& key, GnssTime t, double correlation_s);

}  // namespace stillpoint::simulate
