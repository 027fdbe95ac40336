#include "stillpoint/models/ntcm_g.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "stillpoint/models/pierce_point.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::models {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kDeg = kPi / 180;
constexpr double kShellRatio = 6371.0 / (6371.0 + 450.0);
// k1 .. k12 of the source.
constexpr std::array<double, 12> kCoefficients{0.92519,
                                               0.16951,
                                               0.00443,
                                               0.06626,
                                               0.00899,
                                               0.21289,
                                               -0.15414,
                                               -0.38439,
                                               1.14023,
                                               1.20556,
                                               1.41808,
                                               0.13985};
constexpr double kPoleLatRad = 79.74 * kDeg;
constexpr double kPoleLonRad = -71.78 * kDeg;

// Effective ionisation level, one number from the three broadcast ones.
double ionisation(const std::array<double, 3>& ai) {
  double a0 = ai[0];
  if (ai[0] == 0 && ai[1] == 0 && ai[2] == 0) {
    a0 = 63.7;
  }
  return std::sqrt(std::max(0.0,
                            a0 * a0 + 1633.33 * ai[1] * ai[1] +
                                4802000 * ai[2] * ai[2] +
                                3266.67 * a0 * ai[2]));
}

// F1: solar zenith angle and the day's waves. local_time_h may be any number.
double daily(double lat_rad, double day_of_year, double local_time_h) {
  const auto& k = kCoefficients;
  const double declination_rad =
      23.44 * kDeg * std::sin(0.9856 * (day_of_year - 80.7) * kDeg);
  const double zenith = std::cos(lat_rad - declination_rad);
  const double noon = zenith - 2 / kPi * lat_rad * std::sin(declination_rad);
  const double day = 2 * kPi * (local_time_h - 14) / 24;
  const double half = 2 * kPi * local_time_h / 12;
  const double third = 2 * kPi * local_time_h / 8;
  return zenith + 0.4 +
         noon * (k[0] * std::cos(day) + k[1] * std::cos(half) +
                 k[2] * std::sin(half) + k[3] * std::cos(third) +
                 k[4] * std::sin(third));
}

// F2: the year's waves.
double yearly(double day_of_year) {
  return 1 +
         kCoefficients[5] * std::cos(2 * kPi * (day_of_year - 18) / 365.25) +
         kCoefficients[6] * std::cos(4 * kPi * (day_of_year - 6) / 365.25);
}

// F3 F4: the magnetic field and the two crests beside the magnetic equator.
double magnetic(const PiercePoint& p) {
  const double sine = std::sin(p.lat_rad) * std::sin(kPoleLatRad) +
                      std::cos(p.lat_rad) * std::cos(kPoleLatRad) *
                          std::cos(p.lon_rad - kPoleLonRad);
  const double lat_rad = std::asin(std::clamp(sine, -1.0, 1.0));
  const double north = (lat_rad / kDeg - 16) / 12;
  const double south = (lat_rad / kDeg + 10) / 13;
  return (1 + kCoefficients[7] * std::cos(lat_rad)) *
         (1 + kCoefficients[8] * std::exp(-north * north / 2) +
          kCoefficients[9] * std::exp(-south * south / 2));
}

}  // namespace

double ntcm_g_slant_tecu(const std::array<double, 3>& ai,
                         const Geodetic& receiver,
                         const AzEl& direction,
                         GnssTime t) {
  const AzEl above{direction.azimuth_rad,
                   std::clamp(direction.elevation_rad, 0.0, kPi / 2)};
  const PiercePoint p = pierce_point(receiver, above, kShellRatio);
  const Calendar utc = to_calendar(t, TimeScale::kUtc);
  const double day_of_year = stillpoint::day_of_year(utc);
  const double utc_h = utc.hour + utc.minute / 60.0 + utc.second / 3600;
  const double local_time_h = utc_h + p.lon_rad / kDeg / 15;
  const double vertical_tecu =
      daily(p.lat_rad, day_of_year, local_time_h) * yearly(day_of_year) *
      magnetic(p) * (kCoefficients[10] + kCoefficients[11] * ionisation(ai));
  const double sine =
      kShellRatio * std::sin(0.9782 * (kPi / 2 - above.elevation_rad));
  return std::max(0.0, vertical_tecu) / std::sqrt(1 - sine * sine);
}

double delay_of_tec_m(double slant_tecu, double frequency_hz) {
  return 40.3e16 * slant_tecu / (frequency_hz * frequency_hz);
}

double ntcm_g_delay_m(const std::array<double, 3>& ai,
                      const Geodetic& receiver,
                      const AzEl& direction,
                      GnssTime t,
                      double frequency_hz) {
  return delay_of_tec_m(ntcm_g_slant_tecu(ai, receiver, direction, t),
                        frequency_hz);
}

}  // namespace stillpoint::models
