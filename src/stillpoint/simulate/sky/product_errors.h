// What the precise products of a simulated world say wrongly of a satellite:
// its orbit slowly, its clock slowly, by the sample and by the day.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <vector>

#include "stillpoint/simulate/nature/random.h"
#include "stillpoint/simulate/scenario/scenario.h"
#include "stillpoint/simulate/sky/orbit.h"

namespace stillpoint::simulate {

// Product minus truth: outwards, with the motion, and along the orbit's normal.
struct OrbitError {
  double radial_m = 0, along_m = 0, across_m = 0;
};

// In the Earth-fixed axes of a motion.
Ecef in_earth_axes_m(const OrbitError& error, const Motion& motion);

// One satellite's errors, a function of seed, satellite and time.
//
//   orbit    Gauss-Markov values an hour apart with a memory of six hours, 12,
//            20 and 18 mm one sigma radially, along and across, joined by
//            cubic splines: orbits obey forces and do not jitter
//   clock    6 mm with a memory of two hours, 3 mm from one half minute of
//            GPST to the next, and 0.1 ns that stay for a day of GPST; straight
//            between the half minutes
//   between  the slow part of the clock goes with the radial error by a
//            correlation of 0.5, as far as memories allow: products are fitted
//            to ranges, where the two take each other's place
//   source   sizes, memories and the correlation: from memory of published
//            comparisons of final products of analysis centres
//   threads  the const functions may be called from several at once
class ProductErrors {
 public:
  // No errors.
  ProductErrors() = default;
  // Those of the scenario's effects product-orbits and product-clocks.
  ProductErrors(const Scenario& scenario, SatId sat);

  [[nodiscard]] bool has_orbit() const { return has_orbit_; }
  [[nodiscard]] OrbitError orbit_m(double t_s) const;
  // c times product minus truth.
  [[nodiscard]] double clock_m(double t_s) const;
  // The part of it that stays for the day of GPST in which t_s lies: what
  // biases that belong to the clocks are wrong by as well.
  [[nodiscard]] double clock_of_day_m(double t_s) const;

 private:
  static constexpr std::size_t kAxes = 3;
  // Of the orbit, in units of their sigmas.
  [[nodiscard]] std::array<double, kAxes> units(double t_s) const;
  [[nodiscard]] double clock_at_half_minute_m(std::int64_t number) const;
  [[nodiscard]] double of_day_m(std::int64_t day) const;

  bool has_orbit_ = false, has_clock_ = false;
  GnssTime start_;  // of the scenario
  RandomKey clock_;
  double first_s_ = 0;  // time of the first node
  std::vector<std::array<double, kAxes>> nodes_;
};

}  // namespace stillpoint::simulate
