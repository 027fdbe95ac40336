// Where a ray goes through a thin spherical shell. Internal to models.
#pragma once

#include "stillpoint/geo/coords.h"

namespace stillpoint::models {

struct PiercePoint {
  double lat_rad = 0, lon_rad = 0;
};

// Spherical Earth; geodetic latitude stands in for the geocentric one, as the
// broadcast models do.
//
//   radius_ratio  Earth radius / shell radius, below 1
//   returns       longitude within pi/2 of the receiver's, not normalised; for
//                 a ray over a pole it folds back, as the sources have it
//   source        BDS-SIS-ICD B1I 5.2.4.7; NTCM-G description v1.0: the same
//                 formulas
PiercePoint pierce_point(const Geodetic& receiver,
                         const AzEl& direction,
                         double radius_ratio);

}  // namespace stillpoint::models
