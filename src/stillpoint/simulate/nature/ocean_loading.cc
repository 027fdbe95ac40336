#include "stillpoint/simulate/nature/ocean_loading.h"

#include <cmath>
#include <numbers>

#include "stillpoint/simulate/nature/sun_moon.h"
#include "stillpoint/simulate/nature/sun_moon_series.h"

namespace stillpoint::simulate {
namespace {

constexpr double kDeg = std::numbers::pi / 180;

// Argument: multiples of Greenwich mean solar time [15 deg/h], s, h, p and a
// constant [deg]; then the node's part: factor mean + cosine cos N and angle
// sine sin N [deg]. Responds like constituent `like`, `ratio` times as much.
struct Tide {
  int solar, s, h, p;
  double constant_deg;
  double factor_mean, factor_cos, angle_sin_deg;
  std::size_t like;
  double ratio;
};

// The eleven, then the largest of those in between; their ratios are those of
// the tidal potential (shared/models/ocean_tide_constituents.csv).
constexpr std::array<Tide, kTideCount + 9> kTides{{
    {2, -2, 2, 0, 0, 1.000, -0.037, -2.1, 0, 1},        // M2
    {2, 0, 0, 0, 0, 1, 0, 0, 1, 1},                     // S2
    {2, -3, 2, 1, 0, 1.000, -0.037, -2.1, 2, 1},        // N2
    {2, 0, 2, 0, 0, 1.024, 0.286, -17.7, 3, 1},         // K2
    {1, 0, 1, 0, 90, 1.006, 0.115, -8.9, 4, 1},         // K1
    {1, -2, 1, 0, -90, 1.009, 0.187, 10.8, 5, 1},       // O1
    {1, 0, -1, 0, -90, 1, 0, 0, 6, 1},                  // P1
    {1, -3, 1, 1, -90, 1.009, 0.187, 10.8, 7, 1},       // Q1
    {0, 2, 0, 0, 0, 1.043, 0.414, -23.7, 8, 1},         // Mf
    {0, 1, 0, -1, 0, 1.000, -0.130, 0, 9, 1},           // Mm
    {0, 0, 2, 0, 0, 1, 0, 0, 10, 1},                    // Ssa
    {2, -3, 4, -1, 0, 1.000, -0.037, -2.1, 2, 0.190},   // nu2
    {2, -4, 4, 0, 0, 1.000, -0.037, -2.1, 2, 0.160},    // mu2
    {2, -4, 2, 2, 0, 1.000, -0.037, -2.1, 2, 0.132},    // 2N2
    {2, -1, 2, -1, 180, 1, 0, 0, 1, 0.0608},            // L2
    {2, 0, -1, 0, 283, 1, 0, 0, 1, 0.0585},             // T2
    {1, 1, 1, -1, 90, 1.013, 0.168, -12.9, 4, 0.0559},  // J1
    {1, -1, 1, 1, 90, 1, 0, 0, 6, 0.169},               // M1
    {1, 2, 1, 0, 90, 1.103, 0.650, -36.7, 4, 0.0306},   // OO1
    {0, 3, 0, -1, 0, 1.043, 0.414, -23.7, 8, 0.191},    // Mtm
}};

}  // namespace

Enu ocean_loading_m(const OceanLoading& loading, GnssTime t) {
  const MeanAngles a = mean_angles(julian_centuries_tt(t));
  const double solar_deg = 15 * utc_hour(t);
  const double node_rad = std::fmod(a.moon_node_deg, 360.0) * kDeg;
  const double cos_node = std::cos(node_rad), sin_node = std::sin(node_rad);
  double up = 0, west = 0, south = 0;
  for (const Tide& c : kTides) {
    const double deg = c.solar * solar_deg + c.s * a.moon_deg +
                       c.h * a.sun_deg + c.p * a.moon_perigee_deg +
                       c.constant_deg + c.angle_sin_deg * sin_node;
    const double angle = std::fmod(deg, 360.0) * kDeg;
    const double factor = c.ratio * (c.factor_mean + c.factor_cos * cos_node);
    const auto part = [&](const TideResponse& r) {
      return factor * r.amplitude_m[c.like] *
             std::cos(angle - r.phase_rad[c.like]);
    };
    up += part(loading.up);
    west += part(loading.west);
    south += part(loading.south);
  }
  return {-west, -south, up};
}

}  // namespace stillpoint::simulate
