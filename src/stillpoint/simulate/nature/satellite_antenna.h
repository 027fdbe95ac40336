// Transmitting antennas of the simulated world: an offset in the satellite's
// body axes and a variation with the nadir angle. Signs as in ANTEX 1.4.
#pragma once

#include <array>

#include "stillpoint/geo/coords.h"
#include "stillpoint/simulate/nature/attitude.h"

namespace stillpoint::simulate {

// One carrier of one satellite. The variation with nadir angle n is
//   sum over k = 1..3 of nadir_m[k-1] (cos(k pi n / 14 deg) - 1),
// 0 at the nadir.
struct SatelliteAntenna {
  // From the centre of mass to the mean phase centre, along the body's axes.
  double offset_x_m = 0, offset_y_m = 0, offset_z_m = 0;
  std::array<double, 3> nadir_m{};
};

// The phase centre's position relative to the centre of mass [m],
// Earth-fixed axes. Take it as the place of emission; that is the exact form
// of "the projected offset shortens the range".
Ecef antenna_offset_m(const SatelliteAntenna& antenna, const BodyAxes& axes);

// Angle at the satellite between the Earth's centre and the receiver [rad].
double nadir_angle_rad(const Ecef& satellite, const Ecef& receiver);

// Variation [m], to be added to the range.
double nadir_variation_m(const SatelliteAntenna& antenna, double nadir_rad);

// The variation at whole degrees of nadir angle 0 .. 17, for a calibration
// file [m].
std::array<double, 18> sample_nadir(const SatelliteAntenna& antenna);

}  // namespace stillpoint::simulate
