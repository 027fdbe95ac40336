// From axes that do not turn to those of the Earth. Internal to models.
#pragma once

#include "stillpoint/aids/earth_orientation.h"
#include "stillpoint/geo/coords.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::models {

// Rotation from the axes of the sky (GCRS) to those of the pole and origin of
// the date, which do not turn with the day (CIRS).
//
//   source    IAU 2006 precession, IAU 2000B nutation (ERFA)
//   accuracy  1 mas of the full model 1995 .. 2050 (ERFA's documentation, from
//             memory)
//   threads   pure; some 50 us
Mat3 cirs_R_gcrs(GnssTime t);

// UT1 less GPST [s]. Unlike UT1 - UTC it has no steps.
double ut1_minus_gpst_s(GnssTime t, double ut1_minus_utc_s);

// Earth rotation angle [0, 2 pi).
//
//   source   IAU 2000 (ERFA)
double earth_rotation_rad(GnssTime t, double ut1_minus_gpst_s);

// A vector in CIRS axes, in those of the ITRS.
//
//   accuracy  polar motion to first order: 1e-11 of the length
Ecef to_earth_axes(const Ecef& cirs,
                   double earth_rotation_rad,
                   double x_pole_rad,
                   double y_pole_rad);

Ecef turn(const Mat3& rotation, const Ecef& v);

}  // namespace stillpoint::models
