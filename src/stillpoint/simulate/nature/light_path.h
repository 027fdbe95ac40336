// Where the light that arrives now started from.
#pragma once

#include <cmath>

#include "stillpoint/geo/coords.h"

namespace stillpoint::simulate {

// Rate of the Earth's rotation [rad/s].
//
//   source    IERS Conventions (2010), table 1.2 (nominal mean angular
//   velocity)
inline constexpr double kEarthRateRadps = 7.292115e-5;

// A vector held still in space, seen from axes that have turned on for
// `seconds` of Earth rotation.
inline Ecef turn_axes(const Ecef& v, double seconds) {
  const double angle = kEarthRateRadps * seconds;
  const double c = std::cos(angle), s = std::sin(angle);
  return {c * v.x_m + s * v.y_m, c * v.y_m - s * v.x_m, v.z_m};
}

struct Path {
  double range_m = 0;   // geometric distance
  double flight_s = 0;  // range over the speed of light
  Ecef satellite_m;     // at emission, in Earth-fixed axes of reception
};

// Solves range = c * flight by repetition to 1e-13 s.
//
//   orbit     callable, Ecef orbit(double s): position in the Earth-fixed axes
//             of its own instant, s seconds after the reception (s < 0)
//   receiver_m  at reception, axes of reception
//   threads   pure if orbit is
template <typename Orbit>
Path light_path(const Orbit& orbit, const Ecef& receiver_m) {
  Path path;
  path.flight_s = 0.075;
  for (int i = 0; i < 10; ++i) {
    path.satellite_m = turn_axes(orbit(-path.flight_s), path.flight_s);
    path.range_m = norm(path.satellite_m - receiver_m);
    const double flight = path.range_m / kSpeedOfLightMps;
    const double change = std::abs(flight - path.flight_s);
    path.flight_s = flight;
    if (change < 1e-13) {
      break;
    }
  }
  return path;
}

}  // namespace stillpoint::simulate
