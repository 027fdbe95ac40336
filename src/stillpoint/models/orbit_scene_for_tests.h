// A satellite, its orbit and the Sun placed by angles, for the tests of
// attitude; and the fleets whose turns they try.
#pragma once

#include <cmath>
#include <numbers>
#include <vector>

#include "stillpoint/models/attitude.h"

namespace stillpoint::models {

inline constexpr double kPi = std::numbers::pi;
inline constexpr double kDeg = kPi / 180;
inline constexpr double kEarthTurnRadPerS = 7.2921151467e-5;
inline constexpr double kEarthGm = 3.986004418e14;

inline Ecef cross(const Ecef& a, const Ecef& b) {
  return {a.y_m * b.z_m - a.z_m * b.y_m,
          a.z_m * b.x_m - a.x_m * b.z_m,
          a.x_m * b.y_m - a.y_m * b.x_m};
}

// A circular orbit, tilted anyhow, and a Sun placed by angles.
struct Scene {
  double period_s = 43'077;
  double beta_rad = 0;
  double orbit_rad = 0;  // from midnight

  Ecef satellite_m, velocity_mps, sun_m, along, normal;

  Scene(double period, double beta, double orbit)
      : period_s(period), beta_rad(beta), orbit_rad(orbit) {
    const double rate = 2 * kPi / period_s;
    const double radius_m = std::cbrt(kEarthGm / rate / rate);
    normal = {0.48, -0.64, 0.6};
    const Ecef midnight{0.8, 0.6, 0};
    const Ecef quarter = cross(normal, midnight);
    const Ecef up = std::cos(orbit) * midnight + std::sin(orbit) * quarter;
    along = cross(normal, up);
    satellite_m = radius_m * up;
    velocity_mps =
        rate * radius_m * along - cross({0, 0, kEarthTurnRadPerS}, satellite_m);
    sun_m = 1.496e11 * (std::sin(beta) * normal - std::cos(beta) * midnight);
  }

  [[nodiscard]] BodyAxes axes(YawHabit habit,
                              AttitudeNote* note = nullptr) const {
    return satellite_axes(habit, satellite_m, velocity_mps, sun_m, note);
  }
  [[nodiscard]] double yaw_rad(YawHabit habit) const {
    const Ecef x = axes(habit).x;
    return std::atan2(-dot(x, normal), dot(x, along));
  }
  // Kouba 2009, eq. 1.
  [[nodiscard]] double nominal_rad() const {
    return std::atan2(-std::tan(beta_rad), std::sin(orbit_rad));
  }
  [[nodiscard]] AttitudeNote note(YawHabit habit) const {
    AttitudeNote found;
    static_cast<void>(axes(habit, &found));
    return found;
  }
};

inline double difference(double a_rad, double b_rad) {
  return std::remainder(a_rad - b_rad, 2 * kPi);
}

struct Fleet {
  YawHabit habit;
  double period_s;
  double rate_degps;  // fastest yaw in a turn
};

// Rates: IIA, IIR: Kouba 2009; IIF: Dilssner 2010; GLONASS-M: Dilssner et al.
// 2011; GPS III, QZS-2: no paper; Galileo and BeiDou-3: computed from their
// laws (IOV: orbital rate over tan 2 degrees; FOC: 90 degrees times
// 2 pi / 5656 s; BeiDou-3: greatest slope of its blend at beta 0). All from
// memory.
inline const std::vector<Fleet> kFleets{
    {YawHabit::kGpsIIA, 43'077, 0.12},
    {YawHabit::kGpsIIR, 43'077, 0.20},
    {YawHabit::kGpsIIF, 43'077, 0.11},
    {YawHabit::kGpsIII, 43'077, 0.10},
    {YawHabit::kGlonassM, 40'544, 0.25},
    {YawHabit::kGalileoIov, 50'685, 0.2035},
    {YawHabit::kGalileoFoc, 50'685, 0.10},
    {YawHabit::kBeidou3, 46'404, 0.171},
    {YawHabit::kQzss2, 86'164, 0.055},
};

}  // namespace stillpoint::models
