// One satellite's samples of precise products, kept so that looking one up
// and interpolating is cheap. Inside aids only.
//
// Positions are held in axes that do not rotate: those of the Earth at a
// reference instant of the store. The rotation at a wanted instant is then one
// sine and cosine instead of one per sample.
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "stillpoint/geo/coords.h"
#include "stillpoint/gnss/epoch.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::aids {

inline constexpr std::size_t kWindow = 11;

struct OrbitSample {
  std::int64_t time_ns = 0;
  std::int64_t interval_ns = 0;  // nominal, of the product
  double x_m = 0, y_m = 0, z_m = 0;
  double clock_s = 0;
  // Size of the first term that the polynomial over the 11 samples from here
  // leaves out, per product of the distances to them [m].
  float remainder_m = 0;
  // Unbroken run of samples this one is in, [begin, end).
  std::uint32_t run_begin = 0, run_end = 0;
  std::uint16_t agency = 0;  // whose clock scale
  bool clock_event = false, predicted = false, manoeuvre = false;
};

// Position and velocity in the non-rotating axes.
struct OrbitPoint {
  Ecef position_m, velocity_mps;
  // Variance of the result for unit variance of every sample.
  double amplification = 0;
  // Size of the first term left out of the polynomial [m].
  double remainder_m = 0;
  bool predicted = false;
};

// Clock between two samples.
struct ClockPoint {
  double clock_s = 0;
  // u (1 - u) T of the place within the interval [s]: times the square of the
  // clock's wander over one second it is the variance of a random walk tied
  // at both ends.
  double bridge_s = 0;
  bool predicted = false;
};

class OrbitSeries {
 public:
  // Takes what the samples so far leave open (see PreciseOrbits::add);
  // `more` ascends.
  void merge(const std::vector<OrbitSample>& more);

  [[nodiscard]] bool empty() const { return samples_.empty(); }

  // False outside validity.
  bool orbit_at(std::int64_t time_ns, OrbitPoint& out) const;
  // False where there is no clock.
  bool clock_at(std::int64_t time_ns, ClockPoint& out) const;
  // How far this satellite's clock wanders in one second [s / sqrt(s)], as
  // its own samples show; NaN when they are too few.
  [[nodiscard]] double clock_wander() const { return clock_wander_; }

 private:
  // Index of the last sample at or before the instant, -1 before the first.
  [[nodiscard]] std::ptrdiff_t last_before(std::int64_t time_ns) const;
  // First of the 11 samples to use; false outside validity.
  bool window_for(std::int64_t time_ns, std::size_t& first) const;
  void find_runs();
  void estimate_wander();
  void estimate_remainders();
  [[nodiscard]] double remainder_from(std::size_t first) const;

  std::vector<OrbitSample> samples_;
  double clock_wander_ = kMissing;
};

}  // namespace stillpoint::aids
