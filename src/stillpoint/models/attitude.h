// How the satellites hold themselves: axes of the body in Earth-fixed axes, by
// the satellite's habit. No state is kept between epochs: where in a turn the
// satellite is follows from its place in the orbit.
#pragma once

#include <cstdint>
#include <string_view>

#include "stillpoint/geo/coords.h"
#include "stillpoint/gnss/satellite.h"

namespace stillpoint::models {

// Unit vectors of the body in Earth-fixed axes: z towards the Earth's centre,
// y along the axis of the solar panels, x completes the right-handed set and is
// the side that faces the Sun. The same for every maker: the convention of
// ANTEX files, whatever the maker calls x and y.
struct BodyAxes {
  Ecef x, y, z;
};

// What a satellite does about orbit noon and midnight, where the panels would
// have to turn faster than it can. Everywhere else all but the orbit-normal
// ones steer nominally. docs/models.md has the laws and their sources.
enum class YawHabit : std::uint8_t {
  kNominal,        // the Sun is followed however fast that is
  kGpsIIA,         // late at noon; spins in shadow
  kGpsIIR,         // late at noon and at midnight
  kGpsIIF,         // late at noon; even turn in shadow
  kGpsIII,         // as IIR, slower
  kGlonassM,       // noon turn begins early; turns fast in shadow, then waits
  kGalileoIov,     // smoothed through an auxiliary Sun
  kGalileoFoc,     // smoothed by a cosine in time
  kBeidouMeoIgso,  // BeiDou-2: y along the orbit's normal below 4 degrees
  kBeidouGeo,      // always orbit-normal
  kBeidou3,        // smoothed by a larger beta
  kQzss1,          // orbit-normal below 20 degrees
  kQzss2,          // turns begin early
  kOrbitNormal,    // always orbit-normal
};

// The habit of a satellite.
//
//   block_type  as in ANTEX, "BLOCK IIR-M"; trailing blanks do not matter.
//               Empty or unknown: by the system (and, for the geostationary
//               numbers of BeiDou, the number): mostly kNominal
//   threads     pure
YawHabit yaw_habit(SatId sat, std::string_view block_type);

// What is known of one call's result.
struct AttitudeNote {
  bool turning = false;    // differs from nominal steering
  bool uncertain = false;  // the yaw may be wrong by more than some degrees
};

// Axes at one instant; all vectors in the Earth-fixed axes of that instant.
//
//   satellite_m   [m], not the Earth's centre
//   velocity_mps  in the rotating frame, as orbits give it [m/s]
//   sun_m         [m]; a direction will do
//   note          filled when given: see AttitudeNote
//   returns       exactly nominal where note.turning is false; x along the
//                 motion where the Sun is exactly above or below the satellite
//   accuracy      nominal: exact but for yaw biases, which antenna offsets do
//                 not see (0.5 to 0.7 degrees for IIA and IIF); turns: a few
//                 degrees where their law is known. The direction of a turn
//                 is that of beta's sign now, not at the turn's start: wrong
//                 at one noon or midnight in half a year, flagged uncertain
//   source        nominal: Kouba, GPS Solut. 13 (2009) p. 1; turns:
//                 docs/models.md
//   threads       pure; 0.1 to 0.2 us, near noon and midnight up to 0.4
BodyAxes satellite_axes(YawHabit habit,
                        const Ecef& satellite_m,
                        const Ecef& velocity_mps,
                        const Ecef& sun_m,
                        AttitudeNote* note = nullptr);

// Elevation of the Sun above the orbital plane [rad], positive on the side of
// the orbit's angular momentum. Arguments as above; 0 without an orbit plane.
double sun_beta_rad(const Ecef& satellite_m,
                    const Ecef& velocity_mps,
                    const Ecef& sun_m);

}  // namespace stillpoint::models
