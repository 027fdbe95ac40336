#include "stillpoint/simulate/nature/sun_moon.h"

#include <cmath>
#include <numbers>

#include "stillpoint/simulate/nature/sun_moon_series.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::simulate {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kDeg = kPi / 180;
constexpr std::int64_t kDayNs = 86'400 * GnssTime::kNsPerS;
// 2000-01-01 12:00:00 as a reading of whichever scale.
constexpr std::int64_t kJ2000Ns = 7300 * kDayNs + kDayNs / 2;
constexpr double kCenturyDays = 36'525;
constexpr double kTtMinusGpstS = 51.184;  // 32.184 s + 19 s

// The UTC reading, counted like GPST without leap seconds.
std::int64_t utc_ns(GnssTime t) {
  return t.ns() - gps_minus_utc_s(t) * GnssTime::kNsPerS;
}

double days_of(std::int64_t ns) {
  return static_cast<double>(ns) / static_cast<double>(kDayNs);
}

// Mean obliquity of the ecliptic, Meeus chapter 22.
double obliquity_rad(double t) {
  const double arcsec =
      84381.448 - t * (46.8150 + t * (0.00059 - t * 0.001813));
  return arcsec / 3600 * kDeg;
}

// From the ecliptic of the date to Earth-fixed axes.
Ecef to_earth_fixed(const Ecliptic& body,
                    double obliquity,
                    double sidereal_rad) {
  const double r = body.distance_m;
  const double x = r * std::cos(body.lat_rad) * std::cos(body.lon_rad);
  const double y = r * std::cos(body.lat_rad) * std::sin(body.lon_rad);
  const double z = r * std::sin(body.lat_rad);
  const double ce = std::cos(obliquity), se = std::sin(obliquity);
  const double equatorial_y = ce * y - se * z;
  const double cg = std::cos(sidereal_rad), sg = std::sin(sidereal_rad);
  return {
      cg * x + sg * equatorial_y, cg * equatorial_y - sg * x, se * y + ce * z};
}

}  // namespace

double julian_centuries_tt(GnssTime t) {
  return (days_of(t.ns() - kJ2000Ns) + kTtMinusGpstS / 86400) / kCenturyDays;
}

double utc_hour(GnssTime t) {
  const std::int64_t of_day = (utc_ns(t) % kDayNs + kDayNs) % kDayNs;
  return days_of(of_day) * 24;
}

double mean_sidereal_rad(GnssTime t) {
  const double days = days_of(utc_ns(t) - kJ2000Ns);
  const double c = days / kCenturyDays;
  // The full turns of each day are left out first, to keep the digits.
  const double turn_deg = 360 * (days - std::floor(days));
  const double deg = 280.46061837 + turn_deg + 0.98564736629 * days +
                     c * c * (0.000387933 - c / 38'710'000);
  const double turned = std::fmod(deg, 360.0) * kDeg;
  return turned < 0 ? turned + 2 * kPi : turned;
}

SunMoon sun_moon(GnssTime t) {
  const double c = julian_centuries_tt(t);
  const double obliquity = obliquity_rad(c);
  const double sidereal = mean_sidereal_rad(t);
  return {to_earth_fixed(sun_ecliptic(c), obliquity, sidereal),
          to_earth_fixed(moon_ecliptic(c), obliquity, sidereal)};
}

}  // namespace stillpoint::simulate
