// The six angles from which every tide is made, and readings of the time
// scales that the Earth's rotation needs. Internal to models.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

#include "stillpoint/time/gnss_time.h"

namespace stillpoint::models {

// Whole multipliers of the six angles (Doodson's, without the offset of 5).
using Doodson = std::array<std::int8_t, 6>;

// One value for each of: tau, mean lunar time less half a day (15 deg/h of UT
// less the elongation of the Moon); s, mean longitude of the Moon; h, of the
// Sun; p, of the lunar perigee; N', of the lunar node with the sign turned; ps,
// of the solar perigee.
using TideArguments = std::array<double, 6>;

// TT - TAI = 32.184 s, TAI - GPST = 19 s.
inline constexpr double kTtMinusGpstS = 51.184;

// Days of TT since J2000.0 (2000-01-01 12:00 TT) and centuries of 36525 such
// days. A double resolves 1 us.
double days_of_tt(GnssTime t);
double centuries_of_tt(GnssTime t);

// UTC read as seconds of its day, [0, 86400): UT of the tidal routines, which
// leave the 0.9 s to UT1 away.
double utc_second_of_day(GnssTime t);

// The angles [rad], not reduced to one turn.
//
//   source   fundamental arguments of the IERS Conventions (2003 and 2010),
//            ch. 5, by ERFA; tau as in routines HARDISP and DEHANTTIDEINEL
//   accuracy far better than tides need (1e-6 rad); UT1 - UTC left out: 7e-5
//   threads  pure; under 1 us
TideArguments tide_arguments_rad(GnssTime t);

// How fast they turn [rad/s]; the change of these rates is below 1e-9 of them
// in a year.
//
//   source   linear terms of the same arguments
TideArguments tide_rates_rad_per_s();

// multipliers times angles (or rates).
inline double combine(const Doodson& multipliers, const TideArguments& of) {
  double sum = 0;
  for (std::size_t i = 0; i < of.size(); ++i) {
    sum += multipliers[i] * of[i];
  }
  return sum;
}

}  // namespace stillpoint::models
