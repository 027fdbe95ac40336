// Statistics that a few wild values cannot spoil.
#pragma once

#include <span>
#include <vector>

namespace stillpoint::math {

// Median of the values; the mean of the middle two for an even count.
//
//   values    any order, taken by value because it is reordered
//   returns   NaN for no values
double median(std::vector<double> values);

// The same without a copy; reorders the values.
double median_in_place(std::span<double> values);

// Scale of the values about their median: 1.4826 times the median absolute
// deviation, which is the standard deviation for normal data.
//
//   returns   NaN for no values
//   source    Huber, "Robust Statistics" (1981), section 5.1 (from memory)
double robust_sigma(const std::vector<double>& values);

// The p-quantile by linear interpolation between order statistics.
//
//   p         [0, 1]
//   returns   NaN for no values
double quantile(std::vector<double> values, double p);

}  // namespace stillpoint::math
