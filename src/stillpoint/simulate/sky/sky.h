// The sky of a simulated world: its satellites, their clocks and what their
// signals are late by. One for all receivers.
#pragma once

#include <vector>

#include "stillpoint/simulate/scenario/scenario.h"
#include "stillpoint/simulate/sky/satellite.h"

namespace stillpoint::simulate {

class Sky {
 public:
  explicit Sky(const Scenario& scenario);

  [[nodiscard]] const std::vector<Satellite>& satellites() const {
    return satellites_;
  }
  [[nodiscard]] const Satellite* find(SatId sat) const;
  [[nodiscard]] const Scenario& scenario() const { return scenario_; }

  [[nodiscard]] GnssTime time(double t_s) const {
    return scenario_.start + Duration{t_s};
  }
  [[nodiscard]] double seconds(GnssTime t) const {
    return (t - scenario_.start).s;
  }

  // Clock of a satellite minus GPST, as its signals show it: with the periodic
  // relativistic term where the world has it [s].
  [[nodiscard]] double clock_s(const Satellite& s,
                               double t_s,
                               const Motion& motion) const;

 private:
  Scenario scenario_;
  std::vector<Satellite> satellites_;
};

// What the clocks of the usual precise products refer to.
//
//   source  common practice, no source (as aids/precise_orbits.h)
ClockReference precise_reference(System system);

}  // namespace stillpoint::simulate
