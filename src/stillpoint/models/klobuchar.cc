#include "stillpoint/models/klobuchar.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "stillpoint/models/pierce_point.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::models {
namespace {

constexpr double kDayS = 86'400;
constexpr double kPeakS = 50'400;  // 14 h local time
constexpr double kNightS = 5e-9;
constexpr double kShortestPeriodS = 72'000;
constexpr double kLongestBeidouPeriodS = 172'800;

double cubic(const std::array<double, 4>& c, double x) {
  return c[0] + x * (c[1] + x * (c[2] + x * c[3]));
}

double wrap_day(double s) {
  const double r = std::fmod(s, kDayS);
  return r < 0 ? r + kDayS : r;
}

double scaled(double delay_s, double from_hz, double to_hz) {
  const double ratio = from_hz / to_hz;
  return kSpeedOfLightMps * delay_s * ratio * ratio;
}

}  // namespace

KlobucharTerms klobuchar_terms(const Klobuchar& parameters,
                               const Geodetic& receiver,
                               const AzEl& direction,
                               GnssTime t) {
  constexpr double kPi = std::numbers::pi;
  const double elevation_semi =
      std::clamp(direction.elevation_rad / kPi, 0.0, 0.5);
  KlobucharTerms k;
  k.earth_angle_semi = 0.0137 / (elevation_semi + 0.11) - 0.022;
  k.pierce_lat_semi =
      std::clamp(receiver.lat_rad / kPi +
                     k.earth_angle_semi * std::cos(direction.azimuth_rad),
                 -0.416,
                 0.416);
  k.pierce_lon_semi = receiver.lon_rad / kPi +
                      k.earth_angle_semi * std::sin(direction.azimuth_rad) /
                          std::cos(k.pierce_lat_semi * kPi);
  k.magnetic_lat_semi =
      k.pierce_lat_semi + 0.064 * std::cos((k.pierce_lon_semi - 1.617) * kPi);
  k.local_time_s = wrap_day(43'200 * k.pierce_lon_semi + t.tow_s());
  k.slant_factor = 1 + 16 * std::pow(0.53 - elevation_semi, 3);
  k.amplitude_s = std::max(0.0, cubic(parameters.alpha, k.magnetic_lat_semi));
  k.period_s =
      std::max(kShortestPeriodS, cubic(parameters.beta, k.magnetic_lat_semi));
  k.phase_rad = 2 * kPi * (k.local_time_s - kPeakS) / k.period_s;
  k.delay_s = k.slant_factor * kNightS;
  if (std::abs(k.phase_rad) < 1.57) {
    const double x2 = k.phase_rad * k.phase_rad;
    k.delay_s += k.slant_factor * k.amplitude_s * (1 - x2 / 2 + x2 * x2 / 24);
  }
  return k;
}

double klobuchar_delay_m(const Klobuchar& parameters,
                         const Geodetic& receiver,
                         const AzEl& direction,
                         GnssTime t,
                         double frequency_hz) {
  return scaled(klobuchar_terms(parameters, receiver, direction, t).delay_s,
                kKlobucharHz,
                frequency_hz);
}

double beidou_klobuchar_delay_m(const Klobuchar& parameters,
                                const Geodetic& receiver,
                                const AzEl& direction,
                                GnssTime t,
                                double frequency_hz) {
  constexpr double kPi = std::numbers::pi;
  constexpr double kRatio = 6378.0 / (6378.0 + 375.0);
  const AzEl above{direction.azimuth_rad,
                   std::clamp(direction.elevation_rad, 0.0, kPi / 2)};
  const PiercePoint p = pierce_point(receiver, above, kRatio);
  const double lat_semi = std::abs(p.lat_rad / kPi);
  const double local_time_s =
      wrap_day(t.tow_s() + kBdtMinusGpstS + p.lon_rad / kPi * 43'200);
  const double amplitude_s = std::max(0.0, cubic(parameters.alpha, lat_semi));
  const double period_s = std::clamp(cubic(parameters.beta, lat_semi),
                                     kShortestPeriodS,
                                     kLongestBeidouPeriodS);
  const double from_peak_s = local_time_s - kPeakS;
  double vertical_s = kNightS;
  if (std::abs(from_peak_s) < period_s / 4) {
    vertical_s += amplitude_s * std::cos(2 * kPi * from_peak_s / period_s);
  }
  const double sine = kRatio * std::cos(above.elevation_rad);
  return scaled(vertical_s / std::sqrt(1 - sine * sine),
                kBeidouKlobucharHz,
                frequency_hz);
}

}  // namespace stillpoint::models
