#include "stillpoint/simulate/sky/product_errors.h"

#include <algorithm>
#include <cmath>

#include "stillpoint/simulate/nature/attitude.h"
#include "stillpoint/simulate/nature/gauss_markov.h"
#include "stillpoint/simulate/streams.h"

namespace stillpoint::simulate {
namespace {

constexpr double kRadialM = 0.012, kAlongM = 0.020, kAcrossM = 0.018;
constexpr double kOrbitLastsS = 6 * 3600;
constexpr double kClockM = 0.006, kClockLastsS = 2 * 3600;
constexpr double kSampleM = 0.003;
constexpr double kDayM = 1e-10 * kSpeedOfLightMps;
constexpr double kWithRadial = 0.5;  // correlation of clock and radial error

constexpr double kNodeS = 3600;
// Before and after a scenario's time, for signals on their way and products.
constexpr double kMarginS = 3 * 3600;
// What is left of a sigma when values an hour apart are joined by the spline:
// the root of w R w, w the weights, R exp(-hours/6); 0.957 at the nodes, 0.955
// between them.
constexpr double kSplineSigma = 0.956;

constexpr std::int64_t kHalfMinuteNs = 30 * GnssTime::kNsPerS;
constexpr std::int64_t kHalfMinutesOfDay = 2880;

enum ClockPart : std::uint64_t { kSlow, kSample, kDay };

std::int64_t floor_quotient(std::int64_t a, std::int64_t b) {
  return a / b - (a % b < 0 ? 1 : 0);
}

// Weights of four neighbouring nodes, `u` of the way from the second to the
// third.
std::array<double, 4> spline_weights(double u) {
  const double v = 1 - u;
  return {v * v * v / 6,
          (3 * u * u * u - 6 * u * u + 4) / 6,
          (3 * v * v * v - 6 * v * v + 4) / 6,
          u * u * u / 6};
}

}  // namespace

Ecef in_earth_axes_m(const OrbitError& error, const Motion& motion) {
  // At yaw 0: x with the motion, y against the normal, z to the Earth.
  const BodyAxes axes = axes_at_yaw(motion.position_m, motion.velocity_mps, 0);
  return error.along_m * axes.x - error.across_m * axes.y -
         error.radial_m * axes.z;
}

ProductErrors::ProductErrors(const Scenario& scenario, SatId sat)
    : has_orbit_(scenario.effects.has(Effect::kProductOrbits)),
      has_clock_(scenario.effects.has(Effect::kProductClocks)),
      start_(scenario.start),
      clock_(key_of(scenario.seed, Stream::kProductClock, sat)) {
  if (!has_orbit_ && !has_clock_) {
    return;
  }
  // Nodes at whole hours of GPST, one more on each side for the spline.
  const RandomKey key = key_of(scenario.seed, Stream::kProductOrbit, sat);
  const auto hour_ns = static_cast<std::int64_t>(kNodeS) * GnssTime::kNsPerS;
  const GnssTime from = start_ - Duration{kMarginS};
  const std::int64_t first = floor_quotient(from.ns(), hour_ns) - 1;
  const auto count = static_cast<std::int64_t>(
      std::ceil((scenario.length_s + 2 * kMarginS) / kNodeS) + 4);
  first_s_ = (GnssTime::from_ns(first * hour_ns) - start_).s;
  nodes_.reserve(static_cast<std::size_t>(count));
  for (std::int64_t i = 0; i < count; ++i) {
    const GnssTime t = GnssTime::from_ns((first + i) * hour_ns);
    auto& node = nodes_.emplace_back();
    for (std::size_t axis = 0; axis < kAxes; ++axis) {
      node[axis] = gauss_markov(sub_key(key, axis), t, kOrbitLastsS);
    }
  }
}

std::array<double, ProductErrors::kAxes> ProductErrors::units(
    double t_s) const {
  const double last = static_cast<double>(nodes_.size()) - 2;
  const double at = std::clamp((t_s - first_s_) / kNodeS, 1.0, last);
  const double floor = std::min(std::floor(at), last - 1);
  const auto before = static_cast<std::size_t>(floor) - 1;
  const std::array<double, 4> weights = spline_weights(at - floor);
  std::array<double, kAxes> sum{};
  for (std::size_t i = 0; i < weights.size(); ++i) {
    for (std::size_t axis = 0; axis < kAxes; ++axis) {
      sum[axis] += weights[i] / kSplineSigma * nodes_[before + i][axis];
    }
  }
  return sum;
}

OrbitError ProductErrors::orbit_m(double t_s) const {
  if (!has_orbit_) {
    return {};
  }
  const std::array<double, kAxes> unit = units(t_s);
  return {kRadialM * unit[0], kAlongM * unit[1], kAcrossM * unit[2]};
}

double ProductErrors::clock_at_half_minute_m(std::int64_t number) const {
  const GnssTime t = GnssTime::from_ns(number * kHalfMinuteNs);
  // The radial part counts whether or not the world has orbit errors.
  const double radial = units((t - start_).s)[0];
  const double own = gauss_markov(sub_key(clock_, kSlow), t, kClockLastsS);
  const double slow =
      kWithRadial * radial + std::sqrt(1 - kWithRadial * kWithRadial) * own;
  return kClockM * slow +
         kSampleM * random_gaussian(sub_key(clock_, kSample),
                                    static_cast<std::uint64_t>(number)) +
         of_day_m(floor_quotient(number, kHalfMinutesOfDay));
}

double ProductErrors::of_day_m(std::int64_t day) const {
  return kDayM * random_gaussian(sub_key(clock_, kDay),
                                 static_cast<std::uint64_t>(day));
}

double ProductErrors::clock_of_day_m(double t_s) const {
  if (!has_clock_) {
    return 0;
  }
  return of_day_m(floor_quotient((start_ + Duration{t_s}).ns(),
                                 kHalfMinuteNs * kHalfMinutesOfDay));
}

double ProductErrors::clock_m(double t_s) const {
  if (!has_clock_) {
    return 0;
  }
  const std::int64_t ns = (start_ + Duration{t_s}).ns();
  const std::int64_t number = floor_quotient(ns, kHalfMinuteNs);
  const std::int64_t rest_ns = ns - number * kHalfMinuteNs;
  const double at = clock_at_half_minute_m(number);
  if (rest_ns == 0) {
    return at;
  }
  const double share =
      static_cast<double>(rest_ns) / static_cast<double>(kHalfMinuteNs);
  return at + share * (clock_at_half_minute_m(number + 1) - at);
}

}  // namespace stillpoint::simulate
