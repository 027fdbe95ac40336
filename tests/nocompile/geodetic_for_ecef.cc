// Latitude, longitude and height are no Cartesian coordinates.
#include "stillpoint/geo/coords.h"

using stillpoint::Ecef;
using stillpoint::Enu;
using stillpoint::Geodetic;

Enu offset(const Geodetic& place, const Ecef& origin) {
#ifdef MISTAKE
  return stillpoint::to_enu(place, origin);
#else
  return stillpoint::to_enu(stillpoint::to_ecef(place), origin);
#endif
}
