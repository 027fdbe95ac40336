// Covariance of a sum of errors that have a memory.
#pragma once

#include <Eigen/Dense>
#include <cmath>

#include "stillpoint/time/gnss_time.h"

namespace stillpoint::solve {

// Sum of v_t v_t'^T exp(-|t - t'| / memory) over a series in time order: what
// errors with one sigma of one and this memory come to when each enters by v.
class MemorySum {
 public:
  explicit MemorySum(double memory_s) : memory_s_(memory_s) {}
  void add(GnssTime t, const Eigen::Vector3d& v) {
    if (any_) {
      past_ *= std::exp(-(t - last_).s / memory_s_);
    }
    const Eigen::Matrix3d cross = v * past_.transpose();
    sum_ += v * v.transpose() + cross + cross.transpose();
    past_ += v;
    last_ = t;
    any_ = true;
  }
  [[nodiscard]] const Eigen::Matrix3d& sum() const { return sum_; }

 private:
  double memory_s_;
  GnssTime last_;
  bool any_ = false;
  Eigen::Vector3d past_ = Eigen::Vector3d::Zero();
  Eigen::Matrix3d sum_ = Eigen::Matrix3d::Zero();
};

}  // namespace stillpoint::solve
