// The ionosphere of the simulated world: electrons in a thin shell, more by
// day and towards the equator, crossed by travelling waves. First order in
// frequency; the second-order term (some millimetres at most) is left out.
#pragma once

#include <array>

#include "stillpoint/geo/coords.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::simulate {

inline constexpr double kShellHeightM = 450'000.0;
inline constexpr double kShellEarthRadiusM = 6'371'000.0;

// A plane wave over the shell.
struct TravellingWave {
  double amplitude_tecu = 0;
  double wavelength_m = 200e3;
  double period_s = 1200;
  double azimuth_rad = 0;  // towards which it travels
  double phase_rad = 0;    // at the reference place and instant
};

struct Ionosphere {
  // Vertical content at the reference latitude, before `level`.
  double night_tecu = 5;
  double day_tecu = 15;                 // added at the hour of the maximum
  double maximum_local_hour = 14;       // local solar time
  double tecu_per_degree_north = -0.3;  // by day and by night
  double reference_lat_rad = 0;
  double reference_lon_rad = 0;
  // Multiplies all of it: 1 quiet, 3 to 6 disturbed.
  double level = 1;
  std::array<TravellingWave, 3> waves{};  // amplitude 0: none
};

// Worlds to start from, referred to a place: about 5 to 20 TECU, and about
// four times that with three waves of 0.5 to 1.5 TECU.
Ionosphere quiet_ionosphere(const Geodetic& place);
Ionosphere disturbed_ionosphere(const Geodetic& place);

// Where a ray crosses the shell.
struct ShellPoint {
  double lat_rad = 0, lon_rad = 0;  // on a sphere; longitude in [-pi, pi]
  double obliquity = 1;             // slant content over vertical content
};

// Crossing of the ray from a station (taken at the sphere's surface).
//
//   source    closed-form geometry of a sphere; any textbook
ShellPoint shell_point(const Geodetic& station, const AzEl& direction);

// Vertical content [TECU] at a point of the shell, never below 0.5.
//
//   threads   pure
double vertical_tecu(const Ionosphere& world,
                     const ShellPoint& point,
                     GnssTime t);

// Content along the ray [TECU].
double slant_tecu(const Ionosphere& world,
                  const Geodetic& station,
                  const AzEl& direction,
                  GnssTime t);

// First-order delay of a code [m]; the phase is advanced by as much.
//
//   source    40.3 m^3/s^2 (IERS Conventions 2010, section 9.4; 1 TECU is
//             0.162 m on 1575.42 MHz)
double ionosphere_delay_m(double slant_tecu, double frequency_hz);

}  // namespace stillpoint::simulate
