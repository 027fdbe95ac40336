#include "stillpoint/models/pole_tide.h"

#include <cmath>
#include <numbers>

#include "stillpoint/models/tide_arguments.h"

namespace stillpoint::models {
namespace {

constexpr double kArcsecPerRad = 648'000 / std::numbers::pi;
constexpr double kJulianYearDays = 365.25;

}  // namespace

Ecef pole_tide_m(const Ecef& station, const EarthOrientation& eop, GnssTime t) {
  // The secular pole [arcsec].
  const double years = days_of_tt(t) / kJulianYearDays;
  const double secular_x = 0.0550 + 0.001677 * years;
  const double secular_y = 0.3205 + 0.003460 * years;
  const double m1 = eop.x_pole_rad * kArcsecPerRad - secular_x;
  const double m2 = secular_y - eop.y_pole_rad * kArcsecPerRad;

  const Geodetic site = to_geodetic(station);
  const double sin_lon = std::sin(site.lon_rad);
  const double cos_lon = std::cos(site.lon_rad);
  const double along = m1 * cos_lon + m2 * sin_lon;
  const double across = m1 * sin_lon - m2 * cos_lon;
  // With the colatitude of the source turned to latitude: sin 2 theta = sin 2
  // lat, cos 2 theta = -cos 2 lat, cos theta = sin lat; south turned to north.
  const Enu v{.e_m = 0.009 * std::sin(site.lat_rad) * across,
              .n_m = -0.009 * std::cos(2 * site.lat_rad) * along,
              .u_m = -0.033 * std::sin(2 * site.lat_rad) * along};
  return rotate_back(enu_R_ecef(site), v);
}

}  // namespace stillpoint::models
