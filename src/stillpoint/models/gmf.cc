#include "stillpoint/models/gmf.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "stillpoint/models/gmf_coefficients.h"
#include "stillpoint/models/gpt.h"
#include "stillpoint/models/spherical_harmonics.h"

namespace stillpoint::models {
namespace {

// Fixed parts of the continued fractions: hydrostatic b; wet b and c.
constexpr double kBh = 0.0029;
constexpr double kBw = 0.00146;
constexpr double kCw = 0.04391;
// Niell's height correction.
constexpr double kAt = 2.53e-5;
constexpr double kBt = 5.49e-3;
constexpr double kCt = 1.14e-3;

// Marini's continued fraction, normalised to 1 at the zenith.
double fraction(double sine, double a, double b, double c) {
  const double top = 1 + a / (1 + b / (1 + c));
  return top / (sine + a / (sine + b / (sine + c)));
}

}  // namespace

Result<GlobalMapping> GlobalMapping::at(const Geodetic& site, GnssTime t) {
  if (auto good = check_site(site); !good) {
    return fail(std::move(good.error()));
  }
  const auto sums = sum_harmonics(compute_harmonics(site.lat_rad, site.lon_rad),
                                  kGmfHarmonics);
  const double season = season_rad(t);
  const bool south = site.lat_rad < 0;
  const double c11 = south ? 0.007 : 0.005;
  const double c10 = south ? 0.002 : 0.001;
  const double phase = south ? std::numbers::pi : 0;
  GlobalMapping m;
  m.ah_ = (sums[0] + sums[1] * std::cos(season)) * 1e-5;
  m.aw_ = (sums[2] + sums[3] * std::cos(season)) * 1e-5;
  m.ch_ = 0.062 + ((std::cos(season + phase) + 1) * c11 / 2 + c10) *
                      (1 - std::cos(site.lat_rad));
  m.height_km_ = site.height_m / 1000;
  return m;
}

MappingFactors GlobalMapping::factors(double elevation_rad) const {
  const double elevation =
      std::clamp(elevation_rad, kLowestElevationRad, std::numbers::pi / 2);
  const double sine = std::sin(elevation);
  const double per_km = 1 / sine - fraction(sine, kAt, kBt, kCt);
  return {.hydrostatic = fraction(sine, ah_, kBh, ch_) + per_km * height_km_,
          .wet = fraction(sine, aw_, kBw, kCw)};
}

}  // namespace stillpoint::models
