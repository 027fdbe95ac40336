// How long to wait before the next try: doubling, up to a longest wait, with
// up to half of it taken off at random, so that a thousand clients of one
// caster do not come back at once. Pure: the random number is handed in.
#pragma once

#include <algorithm>

namespace stillpoint::net {

class Backoff {
 public:
  Backoff(double first_s, double longest_s)
      : first_s_(std::max(first_s, 0.0)),
        longest_s_(std::max(longest_s, first_s_)),
        next_s_(first_s_) {}

  // The wait before the next try [s].
  //
  //   random   in [0, 1); 0 takes nothing off
  double next(double random) {
    const double whole_s = next_s_;
    next_s_ = std::min(2 * next_s_, longest_s_);
    return whole_s * (1 - 0.5 * random);
  }

  // After a success: begins with the first wait again.
  void reset() { next_s_ = first_s_; }

 private:
  double first_s_, longest_s_, next_s_;
};

}  // namespace stillpoint::net
