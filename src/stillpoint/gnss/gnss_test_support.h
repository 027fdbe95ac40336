// Sets for the tests of this module: orbits of real satellites (elements from
// tests/vectors/orbits.vec), with invented clocks and times.
#pragma once

#include "stillpoint/gnss/broadcast.h"

namespace stillpoint::test {

inline constexpr int kWeek = 2100;

inline GnssTime tow(double s, int week = kWeek) {
  return GnssTime::from_gps_week(week, s);
}

// An orbit of the system's usual size, healthy, toe = toc.
inline KeplerEphemeris kepler_set(SatId sat, NavMessage message, GnssTime toe) {
  KeplerEphemeris e;
  e.sat = sat;
  e.message = message;
  e.toe = e.toc = toe;
  e.sqrt_a_sqrt_m = 5153.599830627441;
  e.eccentricity = 0.012442796607501805;
  e.delta_n_rad_per_s = 4.419469802942352e-09;
  e.i0_rad = 0.9558937988021613;
  e.idot_rad_per_s = -2.4608167886110235e-10;
  e.omega0_rad = 1.0479401362158658;
  e.omega_dot_rad_per_s = -7.967117576712062e-09;
  e.omega_rad = -2.4719019944000538;
  e.m0_rad = -1.0899023379614294;
  e.cuc_rad = 4.3995678424835205e-06;
  e.cus_rad = 1.002475619316101e-05;
  e.crc_m = 183.40625;
  e.crs_m = 87.03125;
  e.cic_rad = 3.203749656677246e-07;
  e.cis_rad = 4.0978193283081055e-08;
  e.af0_s = 1e-4;
  e.af1_s_per_s = 2e-12;
  e.accuracy_m = 2.0;
  return e;
}

inline StateEphemeris glonass_set(int number, GnssTime toe) {
  StateEphemeris e;
  e.sat = {System::kGlonass, static_cast<std::uint8_t>(number)};
  e.toe = toe;
  e.position_m = {-10705924.0, -15225037.0, -17389698.0};
  e.velocity_mps = {2052.252685546875, 1229.055419921875, -2338.376953125};
  e.acceleration_mps2 = {0.0, -2.7939677238464355e-06, 1.862645149230957e-06};
  e.clock_s = 3e-5;
  e.clock_rate = 1e-12;
  e.channel = -4;
  return e;
}

}  // namespace stillpoint::test
