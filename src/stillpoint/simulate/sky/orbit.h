// Where a simulated satellite truly is. The world has its own orbits and its
// own code for them, so that a mistake in the program's broadcast orbits shows
// (docs/simulator.md lists what is shared).
//
// Times are seconds of the world: since Scenario::start, in GPST.
#pragma once

#include <array>
#include <cstddef>
#include <vector>

#include "stillpoint/geo/coords.h"

namespace stillpoint::simulate {

// Position and velocity in Earth-fixed axes of the same instant.
struct Motion {
  Ecef position_m, velocity_mps;
};

// An orbit of constant size and shape that turns evenly, with the six usual
// harmonics. Good for all times, not for some hours.
struct Elements {
  double a_m = 0, eccentricity = 0;
  double mean_motion_rad_per_s = 0, m0_rad = 0;
  double omega_rad = 0, i0_rad = 0, idot_rad_per_s = 0;
  // Longitude of the ascending node on the Earth at time 0, and how fast the
  // node turns in space.
  double node_rad = 0, node_rate_rad_per_s = 0;
  double cuc_rad = 0, cus_rad = 0, crc_m = 0, crs_m = 0;
  double cic_rad = 0, cis_rad = 0;
  double earth_rate_rad_per_s = 0;
};

// The Earth's gravity and rate as the systems' interface documents have them.
//
//   source   IS-GPS-200 20.3.3.4.3; BDS-SIS-ICD B1I 5.2.4.12; GLONASS ICD,
//            appendix 3 (J2 from memory, as in shared checks 3.1)
inline constexpr double kGmGps = 3.986005e14;
inline constexpr double kGmGalileo = 3.986004418e14;
inline constexpr double kRateGps = 7.2921151467e-5;
inline constexpr double kRateBeidou = 7.2921150e-5;
inline constexpr double kRateGlonass = 7.292115e-5;

//   accuracy  1 um; velocity 1e-5 m/s
//   source    Kepler's equation by Newton's method; harmonics: IS-GPS-200
//             table 20-IV
Motion motion_of(const Elements& o, double t_s);
// The position alone, a third of the price.
Ecef position_of(const Elements& o, double t_s);

// Periodic relativistic term of the satellite's clock [s]: what it gains on
// its orbit by -2 sqrt(GM a) e sin E / c^2.
//
//   source   IS-GPS-200 20.3.3.3.3.1
double relativity_s(const Elements& o, double gm, double t_s);

// Orbits that follow from gravity with the Earth's flattening alone: made once
// by integration, then looked up. Both in Earth-fixed axes.
class IntegratedOrbit {
 public:
  // From a state at time 0 over [from_s, to_s], which holds 0.
  //
  //   source   GLONASS ICD, appendix 3 (force model)
  IntegratedOrbit(const Motion& at_zero, double from_s, double to_s);

  // Clamped to the span; between nodes of a minute by the quintic through
  // position, velocity and acceleration (below 1 um off).
  [[nodiscard]] Motion motion(double t_s) const;

 private:
  struct Node {
    std::array<double, 3> p, v, a;
  };
  void integrate(Node node, double to_s, bool backwards);

  double from_s_ = 0;
  std::vector<Node> nodes_;
};

}  // namespace stillpoint::simulate
