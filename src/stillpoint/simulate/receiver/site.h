// Where a simulated antenna is: the marker, what moves it, and the Earth that
// gives way under it.
#pragma once

#include "stillpoint/simulate/nature/sun_moon.h"
#include "stillpoint/simulate/scenario/scenario.h"
#include "stillpoint/simulate/sky/orbit.h"

namespace stillpoint::simulate {

// At one instant, Earth-fixed axes.
struct SiteState {
  // Antenna reference point, and what of it the marker's coordinate does not
  // have: tides and loading, moves and ways.
  Motion arp;
  Ecef tide_m, loading_m;
  Enu moved_m;  // of the marker: moves and ways
  SunMoon bodies;
};

class Site {
 public:
  // Both outlive the site.
  Site(const Scenario& scenario, const ReceiverScenario& receiver);

  [[nodiscard]] SiteState at(double t_s) const;
  // Marker where nothing moves it.
  [[nodiscard]] const Ecef& marker() const { return marker_; }
  [[nodiscard]] const Geodetic& place() const { return receiver_.marker; }
  [[nodiscard]] const Mat3& enu_R_ecef() const { return axes_; }

 private:
  const Scenario& scenario_;
  const ReceiverScenario& receiver_;
  Ecef marker_;
  Mat3 axes_{};
};

// Where the tables of moves and waypoints put the marker.
Enu moved_m(const ReceiverScenario& receiver, bool moves, double t_s);

}  // namespace stillpoint::simulate
