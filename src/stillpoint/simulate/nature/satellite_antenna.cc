#include "stillpoint/simulate/nature/satellite_antenna.h"

#include <cmath>
#include <numbers>

#include "stillpoint/simulate/nature/vectors.h"

namespace stillpoint::simulate {
namespace {

constexpr double kDeg = std::numbers::pi / 180;

}  // namespace

Ecef antenna_offset_m(const SatelliteAntenna& antenna, const BodyAxes& axes) {
  return antenna.offset_x_m * axes.x + antenna.offset_y_m * axes.y +
         antenna.offset_z_m * axes.z;
}

double nadir_angle_rad(const Ecef& satellite, const Ecef& receiver) {
  const Ecef down = -1.0 * satellite;
  const Ecef ray = receiver - satellite;
  return std::atan2(norm(cross(down, ray)), dot(down, ray));
}

double nadir_variation_m(const SatelliteAntenna& antenna, double nadir_rad) {
  const double base = std::numbers::pi * nadir_rad / (14 * kDeg);
  double sum = 0;
  for (std::size_t k = 0; k < antenna.nadir_m.size(); ++k) {
    sum +=
        antenna.nadir_m[k] * (std::cos(static_cast<double>(k + 1) * base) - 1);
  }
  return sum;
}

std::array<double, 18> sample_nadir(const SatelliteAntenna& antenna) {
  std::array<double, 18> values{};
  for (std::size_t i = 0; i < values.size(); ++i) {
    values[i] = nadir_variation_m(antenna, static_cast<double>(i) * kDeg);
  }
  return values;
}

}  // namespace stillpoint::simulate
