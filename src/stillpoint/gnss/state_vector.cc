// State vectors: GLONASS by numerical integration, SBAS by its polynomial.
//
// GLONASS broadcasts PZ-90.11, which agrees with the ITRF to 2 mm (shared
// checks 1.4, ITRF2008 to PZ-90.11), so no transformation is made; before
// 2014 it was PZ-90.02, 0.4 m away, below the broadcast error.
#include <algorithm>
#include <array>
#include <cmath>

#include "stillpoint/gnss/broadcast.h"
#include "stillpoint/gnss/usability.h"

namespace stillpoint {
namespace {

// GLONASS ICD, shared checks section 3.1.
constexpr double kMu = 3.986004418e14;         // [m^3/s^2]
constexpr double kEarthRadiusM = 6'378'136.0;  // PZ-90
constexpr double kJ2 = 1'082'625.75e-9;
constexpr double kRotation = 7.292115e-5;  // [rad/s]
constexpr double kLongestStepS = 60.0;

using State = std::array<double, 6>;  // x y z [m], vx vy vz [m/s]

// ICD appendix 3: central body, oblateness, rotating axes, and the luni-solar
// acceleration as broadcast.
State derivative(const State& s, const Ecef& luni_solar) {
  const double r2 = s[0] * s[0] + s[1] * s[1] + s[2] * s[2];
  const double inv_r2 = 1.0 / r2;
  const double central = kMu * inv_r2 * std::sqrt(inv_r2);
  const double oblate =
      1.5 * kJ2 * kEarthRadiusM * kEarthRadiusM * inv_r2 * central;
  const double z2 = 5.0 * s[2] * s[2] * inv_r2;
  const double equatorial = -central - oblate * (1.0 - z2);
  constexpr double kW2 = kRotation * kRotation;
  return {s[3],
          s[4],
          s[5],
          (equatorial + kW2) * s[0] + 2 * kRotation * s[4] + luni_solar.x_m,
          (equatorial + kW2) * s[1] - 2 * kRotation * s[3] + luni_solar.y_m,
          (-central - oblate * (3.0 - z2)) * s[2] + luni_solar.z_m};
}

State advanced(const State& s, double h, const State& rate) {
  State out{};
  for (std::size_t i = 0; i < s.size(); ++i) {
    out[i] = s[i] + h * rate[i];
  }
  return out;
}

State integrate(State s, const Ecef& luni_solar, double dt_s) {
  const int steps = static_cast<int>(std::ceil(std::abs(dt_s) / kLongestStepS));
  const double h = steps == 0 ? 0.0 : dt_s / steps;
  for (int i = 0; i < steps; ++i) {
    const State k1 = derivative(s, luni_solar);
    const State k2 = derivative(advanced(s, h / 2, k1), luni_solar);
    const State k3 = derivative(advanced(s, h / 2, k2), luni_solar);
    const State k4 = derivative(advanced(s, h, k3), luni_solar);
    for (std::size_t j = 0; j < s.size(); ++j) {
      s[j] += h / 6 * (k1[j] + 2 * k2[j] + 2 * k3[j] + k4[j]);
    }
  }
  return s;
}

}  // namespace

SatelliteState evaluate(const StateEphemeris& e, GnssTime t) {
  const double dt = (t - e.toe).s;
  SatelliteState out;
  if (e.sat.system == System::kGlonass) {
    // Far outside validity there is no point in integrating on: a day at most,
    // so that a wrong date cannot cost minutes.
    const double span = std::clamp(dt, -86'400.0, 86'400.0);
    const State s = integrate({e.position_m.x_m,
                               e.position_m.y_m,
                               e.position_m.z_m,
                               e.velocity_mps.x_m,
                               e.velocity_mps.y_m,
                               e.velocity_mps.z_m},
                              e.acceleration_mps2,
                              span);
    out.position_m = {s[0], s[1], s[2]};
    out.velocity_mps = {s[3], s[4], s[5]};
  } else {
    out.position_m = e.position_m + dt * e.velocity_mps +
                     (0.5 * dt * dt) * e.acceleration_mps2;
    out.velocity_mps = e.velocity_mps + dt * e.acceleration_mps2;
  }
  // Neither system has a periodic relativistic term to add: GLONASS contains
  // it in gamma_n, SBAS in its clock.
  out.clock_s = e.clock_s + e.clock_rate * dt;
  out.range_sigma_m = range_sigma_m(e);
  out.issue = e.issue;
  return out;
}

}  // namespace stillpoint
