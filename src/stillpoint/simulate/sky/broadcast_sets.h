// What the satellites of a simulated world say about themselves: ephemerides
// with the errors that they usually have, or with none.
#pragma once

#include "stillpoint/gnss/ephemeris.h"
#include "stillpoint/simulate/sky/sky.h"

namespace stillpoint::simulate {

// Hours between two sets: GPS and QZSS 2 and 1, Galileo, BeiDou 1, GLONASS
// half. The reference time is on the grid of that step, and a set is sent from
// half a step before it.
double set_step_s(System system);

// The sets whose reference time is the grid instant `toe` (whole steps of the
// system's own day): one, or for Galileo the I/NAV and the F/NAV set. Errors
// are rounded to the messages' fields where the world has broadcast-orbit; a
// world without has sets that are exact.
//
//   issues    IODE counts the steps of the day, so that sets differ
void make_sets(const Sky& sky,
               const Satellite& satellite,
               GnssTime toe,
               NavigationData& out);

// All sets that are used in [from, to], by time, and the ionosphere
// parameters.
NavigationData make_navigation(const Sky& sky, GnssTime from, GnssTime to);

// The grid instant whose set is sent at t.
GnssTime current_toe(const Satellite& satellite, GnssTime t);

}  // namespace stillpoint::simulate
