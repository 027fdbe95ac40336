// How much farther than the best the second best set of integers has to be, so
// that of all sets tried no more than a given share is accepted and wrong.
#pragma once

namespace stillpoint::math {

// A fix may try that many sets in turn: each is given that part of the rate.
inline constexpr int kMostSets = 4;

// Least ratio of squared norms, second best over best. Between two numbers of
// integers the greater threshold, of the bound of failure the next greater.
//
//   count          integers of the set, at least 1
//   failure_bound  bootstrapped failure rate of the set
//   failure_rate   of all sets together, 0.001 or 0.01; between them the
//                  thresholds of 0.001, below none but 1 and infinity
//   returns        1 where no test is needed, infinity where no ratio will do
//   source         own simulation, docs/integers.md. That a threshold for a
//                  fixed rate depends on both: Verhagen, Teunissen, "The ratio
//                  test for future GNSS ambiguity resolution", GPS Solutions 17
//                  (2013) 535-548; their tables were not at hand
//   threads        pure
double ratio_threshold(int count, double failure_bound, double failure_rate);

}  // namespace stillpoint::math
