// One place in its three forms, and one step to the east of it.
#include <cmath>
#include <cstdio>
#include <numbers>

#include "stillpoint/geo/coords.h"

int main() {
  using namespace stillpoint;
  constexpr double kDeg = std::numbers::pi / 180;

  const Geodetic antenna{47.3 * kDeg, 8.9 * kDeg, 512};  // invented
  const Ecef ecef = to_ecef(antenna);
  std::printf("geodetic  %.4f deg  %.4f deg  %.1f m\n",
              antenna.lat_rad / kDeg,
              antenna.lon_rad / kDeg,
              antenna.height_m);
  std::printf("ecef      %.4f  %.4f  %.4f m\n", ecef.x_m, ecef.y_m, ecef.z_m);

  // Offsets are always east, north, up of a stated origin.
  const Ecef rover = from_enu({.e_m = 100, .n_m = 20, .u_m = -3}, ecef);
  const Enu back = to_enu(rover, ecef);
  std::printf("rover     %.3f m east  %.3f m north  %.3f m up, %.3f m away\n",
              back.e_m,
              back.n_m,
              back.u_m,
              norm(rover - ecef));

  // Where to look for it.
  const AzEl look = azimuth_elevation(enu_R_ecef(antenna), rover - ecef);
  std::printf("look      azimuth %.2f deg, elevation %.2f deg\n",
              look.azimuth_rad / kDeg,
              look.elevation_rad / kDeg);

  const Geodetic again = to_geodetic(ecef);
  return std::abs(again.height_m - antenna.height_m) < 1e-6 ? 0 : 1;
}
