#include "stillpoint/simulate/nature/antenna.h"

#include <cmath>
#include <numbers>

#include "stillpoint/simulate/nature/vectors.h"

namespace stillpoint::simulate {
namespace {

constexpr double kDeg = std::numbers::pi / 180;

}  // namespace

ReceiverAntenna demo_antenna() {
  // Invented; of the size of a good small antenna. From low to high carrier.
  ReceiverAntenna a;
  a.bands[0] = {1176.45e6,
                {0.0007, 0.0004, 0.0842},
                {0.0021, -0.0046, 0.0008, -0.0003},
                {{{0.0003, -0.0002}, {0.0004, 0.0001}, {-0.0001, 0.0001}}}};
  a.bands[1] = {1227.60e6,
                {0.0005, 0.0009, 0.0815},
                {0.0016, -0.0040, 0.0007, -0.0002},
                {{{0.0002, -0.0003}, {0.0003, 0.0002}, {0.0001, -0.0001}}}};
  a.bands[2] = {1278.75e6,
                {0.0003, 0.0006, 0.0791},
                {0.0014, -0.0036, 0.0006, -0.0002},
                {{{0.0002, 0.0001}, {-0.0003, 0.0002}, {0.0001, 0.0001}}}};
  a.bands[3] = {1575.42e6,
                {-0.0008, 0.0011, 0.0663},
                {0.0009, -0.0029, 0.0009, -0.0004},
                {{{-0.0003, 0.0002}, {0.0005, -0.0002}, {0.0002, 0.0001}}}};
  return a;
}

ReceiverAntenna antenna_named(std::string_view type) {
  if (!type.starts_with("SPDEMO-A2")) {
    return demo_antenna();
  }
  // Invented; of the size of a large ring antenna.
  ReceiverAntenna a;
  a.bands[0] = {1176.45e6,
                {-0.0004, 0.0006, 0.1183},
                {-0.0012, 0.0031, -0.0006, 0.0002},
                {{{-0.0002, 0.0001}, {0.0002, -0.0002}, {0.0001, 0.0}}}};
  a.bands[1] = {1227.60e6,
                {0.0002, -0.0005, 0.1171},
                {-0.0009, 0.0026, -0.0005, 0.0003},
                {{{0.0001, 0.0002}, {-0.0002, 0.0001}, {0.0, 0.0001}}}};
  a.bands[2] = {1278.75e6,
                {0.0001, -0.0004, 0.1162},
                {-0.0008, 0.0024, -0.0004, 0.0002},
                {{{0.0001, 0.0001}, {-0.0001, 0.0001}, {0.0001, 0.0}}}};
  a.bands[3] = {1575.42e6,
                {0.0006, -0.0003, 0.0917},
                {0.0006, -0.0017, 0.0005, -0.0002},
                {{{0.0002, -0.0001}, {-0.0001, 0.0002}, {0.0, 0.0001}}}};
  return a;
}

const AntennaBand& band_of(const ReceiverAntenna& antenna,
                           double frequency_hz) {
  const AntennaBand* nearest = &antenna.bands[0];
  for (const AntennaBand& b : antenna.bands) {
    if (std::abs(b.frequency_hz - frequency_hz) <
        std::abs(nearest->frequency_hz - frequency_hz)) {
      nearest = &b;
    }
  }
  return *nearest;
}

double phase_variation_m(const AntennaBand& band, const AzEl& direction) {
  const double zenith = std::numbers::pi / 2 - direction.elevation_rad;
  double sum = 0;
  for (std::size_t n = 0; n < band.zenith_m.size(); ++n) {
    const auto times = static_cast<double>(n + 1);
    sum += band.zenith_m[n] * (1 - std::cos(times * zenith));
  }
  const double s = std::sin(zenith);
  for (std::size_t m = 0; m < band.azimuth.size(); ++m) {
    const double angle = static_cast<double>(m + 1) * direction.azimuth_rad;
    sum += s * s *
           (band.azimuth[m].cos_m * std::cos(angle) +
            band.azimuth[m].sin_m * std::sin(angle));
  }
  return sum;
}

double antenna_range_m(const AntennaBand& band, const AzEl& direction) {
  const Enu to_satellite = unit_enu(direction);
  const double projected = band.offset_m.e_m * to_satellite.e_m +
                           band.offset_m.n_m * to_satellite.n_m +
                           band.offset_m.u_m * to_satellite.u_m;
  return phase_variation_m(band, direction) - projected;
}

AntennaGrid sample_grid(const AntennaBand& band) {
  AntennaGrid grid;
  for (std::size_t z = 0; z < grid.mean_m.size(); ++z) {
    const double elev =
        (90 - AntennaGrid::kStepDeg * static_cast<double>(z)) * kDeg;
    double sum = 0;
    for (std::size_t a = 0; a < grid.by_azimuth_m.size(); ++a) {
      const double az = AntennaGrid::kStepDeg * static_cast<double>(a) * kDeg;
      const double value = phase_variation_m(band, {az, elev});
      grid.by_azimuth_m[a][z] = value;
      if (a > 0) {
        sum += value;  // 360 degrees is 0 degrees again
      }
    }
    grid.mean_m[z] = sum / (AntennaGrid::kAzimuthCount - 1);
  }
  return grid;
}

}  // namespace stillpoint::simulate
