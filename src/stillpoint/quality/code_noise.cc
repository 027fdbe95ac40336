#include "stillpoint/quality/code_noise.h"

namespace stillpoint::quality {
namespace {

// Variance of a third difference of independent values of variance 1.
constexpr double kThirdDifference = 1 + 9 + 9 + 1;
// Steps that differ by less are even: epochs follow the receiver's clock.
constexpr double kUneven = 0.01;

}  // namespace

SquareSum CodeNoiseSums::total() const {
  SquareSum all;
  for (const SquareSum& place : by_elevation) {
    all.add(place);
  }
  return all;
}

void CodeNoise::add(GnssTime t,
                    std::size_t place,
                    double code_minus_phase_m,
                    CodeNoiseSums& sums) {
  if (count_ > 0) {
    const double step_s = (t - last_).s;
    if (step_s <= 0 || step_s > kLongestStepS) {
      count_ = 0;
    } else if (count_ > 1 && std::abs(step_s - step_s_) > kUneven * step_s_) {
      count_ = 1;  // the step to the value before may begin an even run
    }
    step_s_ = step_s;
  }
  last_ = t;
  const double v = code_minus_phase_m;
  if (count_ == values_m_.size()) {
    const double third = v - 3 * values_m_[0] + 3 * values_m_[1] - values_m_[2];
    sums.by_elevation.at(place).add(third * third / kThirdDifference);
  } else {
    ++count_;
  }
  values_m_ = {v, values_m_[0], values_m_[1]};
}

}  // namespace stillpoint::quality
