#include "stillpoint/simulate/nature/ionosphere.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace stillpoint::simulate {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kDeg = kPi / 180;
constexpr std::int64_t kDayNs = 86'400 * GnssTime::kNsPerS;
constexpr double kLeastTecu = 0.5;

// Hours of the GPS day: no step at a leap second, and 18 s are nothing here.
double hour_of_day(GnssTime t) {
  const std::int64_t of_day = (t.ns() % kDayNs + kDayNs) % kDayNs;
  return static_cast<double>(of_day) / 3600e9;
}

// The day's hump: 1 at the maximum, 0 from six hours away.
double day_share(double hours_from_maximum) {
  const double h = std::remainder(hours_from_maximum, 24.0);
  return std::max(0.0, std::cos(h / 12 * kPi));
}

double wave_tecu(const TravellingWave& w,
                 double north_m,
                 double east_m,
                 GnssTime t) {
  const double along_m =
      north_m * std::cos(w.azimuth_rad) + east_m * std::sin(w.azimuth_rad);
  const double since_s =
      std::fmod(static_cast<double>(t.ns()) / 1e9, w.period_s);
  const double turns = along_m / w.wavelength_m - since_s / w.period_s;
  return w.amplitude_tecu * std::cos(2 * kPi * turns + w.phase_rad);
}

}  // namespace

Ionosphere quiet_ionosphere(const Geodetic& place) {
  Ionosphere world;
  world.reference_lat_rad = place.lat_rad;
  world.reference_lon_rad = place.lon_rad;
  // More electrons towards the equator.
  world.tecu_per_degree_north = place.lat_rad < 0 ? 0.3 : -0.3;
  return world;
}

Ionosphere disturbed_ionosphere(const Geodetic& place) {
  Ionosphere world = quiet_ionosphere(place);
  world.level = 4;
  // Before the level: 1.4, 0.9 and 0.5 TECU.
  world.waves[0] = {0.35, 180e3, 1100, 150 * kDeg, 0};
  world.waves[1] = {0.225, 260e3, 1900, 200 * kDeg, 1};
  world.waves[2] = {0.125, 110e3, 700, 95 * kDeg, 2};
  return world;
}

ShellPoint shell_point(const Geodetic& station, const AzEl& direction) {
  const double el = direction.elevation_rad, az = direction.azimuth_rad;
  const double ratio =
      kShellEarthRadiusM / (kShellEarthRadiusM + kShellHeightM);
  const double sin_zenith = ratio * std::cos(el);  // of the ray at the shell
  const double at_centre = kPi / 2 - el - std::asin(sin_zenith);

  const double sl = std::sin(station.lat_rad), cl = std::cos(station.lat_rad);
  const double sc = std::sin(at_centre), cc = std::cos(at_centre);
  ShellPoint p;
  p.lat_rad =
      std::asin(std::clamp(sl * cc + cl * sc * std::cos(az), -1.0, 1.0));
  // By both sides, so that it holds beyond the pole too.
  const double east = sc * std::sin(az);
  const double south = cl * cc - sl * sc * std::cos(az);
  p.lon_rad =
      std::remainder(station.lon_rad + std::atan2(east, south), 2 * kPi);
  p.obliquity = 1 / std::sqrt(1 - sin_zenith * sin_zenith);
  return p;
}

double vertical_tecu(const Ionosphere& world,
                     const ShellPoint& point,
                     GnssTime t) {
  const double local_hour = hour_of_day(t) + point.lon_rad / kPi * 12;
  const double north_rad = point.lat_rad - world.reference_lat_rad;
  const double east_rad =
      std::remainder(point.lon_rad - world.reference_lon_rad, 2 * kPi) *
      std::cos(world.reference_lat_rad);
  double tecu =
      world.night_tecu +
      world.day_tecu * day_share(local_hour - world.maximum_local_hour) +
      world.tecu_per_degree_north * north_rad / kDeg;
  const double shell_m = kShellEarthRadiusM + kShellHeightM;
  for (const TravellingWave& w : world.waves) {
    if (w.amplitude_tecu != 0) {
      tecu += wave_tecu(w, shell_m * north_rad, shell_m * east_rad, t);
    }
  }
  return std::max(world.level * tecu, kLeastTecu);
}

double slant_tecu(const Ionosphere& world,
                  const Geodetic& station,
                  const AzEl& direction,
                  GnssTime t) {
  const ShellPoint p = shell_point(station, direction);
  return p.obliquity * vertical_tecu(world, p, t);
}

double ionosphere_delay_m(double slant_tecu, double frequency_hz) {
  return 40.3e16 * slant_tecu / (frequency_hz * frequency_hz);
}

}  // namespace stillpoint::simulate
