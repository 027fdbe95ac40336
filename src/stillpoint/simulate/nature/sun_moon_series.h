// The series behind sun_moon.h, in ecliptic coordinates of the date. Inside
// this folder only.
#pragma once

namespace stillpoint::simulate {

// Geocentric, mean equinox of the date.
struct Ecliptic {
  double lon_rad = 0, lat_rad = 0;
  double distance_m = 0;
};

// The Sun's true geometric place. `centuries_tt` from J2000.0.
//
//   source    Meeus, "Astronomical Algorithms" (2nd edition, 1998), chapter 25
//             (low accuracy), from memory
Ecliptic sun_ecliptic(double centuries_tt);

// The Moon: the 38 largest terms of longitude and distance, 30 of latitude.
//
//   source    Meeus, chapter 47, tables 47.A and 47.B, from memory
Ecliptic moon_ecliptic(double centuries_tt);

// The mean angles that the tides are counted by, mean equinox of the date
// [deg], not reduced to a turn.
struct MeanAngles {
  double moon_deg = 0;          // s, mean longitude of the Moon
  double sun_deg = 0;           // h, mean longitude of the Sun
  double moon_perigee_deg = 0;  // p
  double moon_node_deg = 0;     // N, ascending node
  double sun_perigee_deg = 0;   // ps
};

//   source    Meeus, chapters 25 and 47 (mean arguments), from memory
MeanAngles mean_angles(double centuries_tt);

}  // namespace stillpoint::simulate
