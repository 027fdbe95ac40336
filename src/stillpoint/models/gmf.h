// Global Mapping Function: how much longer a slanted ray is delayed than a
// vertical one, hydrostatic and wet. The place and season are worked out once;
// one elevation costs a few divisions.
#pragma once

#include "stillpoint/core/result.h"
#include "stillpoint/geo/coords.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::models {

// Lower elevations are taken as this one (2 degrees): the function was fitted
// down to about 3 degrees, and below the horizon it has poles.
inline constexpr double kLowestElevationRad = 0.034906585039886591;

struct MappingFactors {
  double hydrostatic = 1, wet = 1;
};

class GlobalMapping {
 public:
  // The function at a place on a day; season is the only time dependence, so
  // one object serves a day.
  //
  //   site      height above the ellipsoid, -500 .. 9000 m
  //   errors    kOutOfRange as gpt()
  //   source    Boehm, Niell, Tregoning, Schuh, GRL 33 (2006) L07304,
  //             doi:10.1029/2005GL025546; height correction: Niell 1996,
  //             doi:10.1029/95JB03048; IERS Conventions (2010) ch. 9
  static Result<GlobalMapping> at(const Geodetic& site, GnssTime t);

  // Factors for an elevation.
  //
  //   elevation_rad  [rad]; clamped to kLowestElevationRad .. pi/2
  //   returns        both >= 1, falling with elevation, 1 at the zenith
  //   accuracy       1e-14 against the published test value; of the model:
  //                  a station height is off by some mm at worst with a
  //                  5 degree mask (from memory)
  //   threads        pure; under 100 ns
  [[nodiscard]] MappingFactors factors(double elevation_rad) const;

 private:
  double ah_ = 0, ch_ = 0, aw_ = 0, height_km_ = 0;
};

}  // namespace stillpoint::models
