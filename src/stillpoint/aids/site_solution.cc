#include "stillpoint/aids/site_solution.h"

#include <cmath>

namespace stillpoint {

const SiteCoordinate* SinexProduct::coordinate(std::string_view site,
                                               GnssTime t) const {
  const SiteCoordinate* nearest = nullptr;
  double nearest_s = 0;
  for (const SiteCoordinate& row : coordinates) {
    if (row.at.site != site) {
      continue;
    }
    if (row.at.from && row.at.until && *row.at.from <= t &&
        t <= *row.at.until) {
      return &row;
    }
    const double away_s = std::abs((row.epoch - t).s);
    if (nearest == nullptr || away_s < nearest_s) {
      nearest = &row;
      nearest_s = away_s;
    }
  }
  return nearest;
}

}  // namespace stillpoint
