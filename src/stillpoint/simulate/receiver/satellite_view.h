// A satellite as seen from a simulated antenna at one instant: geometry and
// all that its signals share.
#pragma once

#include "stillpoint/simulate/nature/troposphere.h"
#include "stillpoint/simulate/receiver/site.h"
#include "stillpoint/simulate/receiver/terms.h"
#include "stillpoint/simulate/sky/sky.h"

namespace stillpoint::simulate {

// What is the same for all satellites of an epoch.
struct ViewPoint {
  double t_s = 0;  // GPST of reception
  const Site* site = nullptr;
  SiteState state;
  Atmosphere air;
};

// Direction from the antenna, without the time of flight: good to a few
// arc seconds, enough to know what is up.
AzEl rough_direction(const ViewPoint& from, const Satellite& satellite);

// All parts. wind_up_cyc is that of the epoch before, or 0.
SatelliteTerms view(const Sky& sky,
                    const ViewPoint& from,
                    const Satellite& satellite,
                    double wind_up_cyc);

// Fills the terms that say what precise products are wrong by.
void add_product_terms(const ViewPoint& from,
                       const Satellite& satellite,
                       SatelliteTerms& terms);

// Elevation of the skyline in a direction [rad]; below the horizon without
// points.
double skyline_rad(const std::vector<SkylinePoint>& points, double azimuth_rad);

}  // namespace stillpoint::simulate
