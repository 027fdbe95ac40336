#include "stillpoint/models/gpt.h"

#include <cmath>
#include <numbers>
#include <string>

#include "stillpoint/models/gpt_coefficients.h"
#include "stillpoint/models/spherical_harmonics.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::models {

double season_rad(GnssTime t) {
  // Day of the year counted from 1980-01-01 = MJD 44239, wave peak on day 28.
  const double day = to_mjd(t, TimeScale::kUtc) - 44239.0 + 1 - 28;
  return day / 365.25 * 2 * std::numbers::pi;
}

Status check_site(const Geodetic& site) {
  if (!std::isfinite(site.lat_rad) || !std::isfinite(site.lon_rad) ||
      std::abs(site.lat_rad) > std::numbers::pi / 2 + 1e-9) {
    return fail(ErrorCode::kOutOfRange,
                "latitude " + std::to_string(site.lat_rad) +
                    " rad, longitude " + std::to_string(site.lon_rad) +
                    " rad is no place");
  }
  if (!(site.height_m >= kLowestSiteM && site.height_m <= kHighestSiteM)) {
    return fail(ErrorCode::kOutOfRange,
                "height " + std::to_string(site.height_m) +
                    " m is outside -500 .. 9000 m");
  }
  return ok();
}

Result<SurfaceWeather> gpt(const Geodetic& site, GnssTime t) {
  if (auto good = check_site(site); !good) {
    return fail(std::move(good.error()));
  }
  const auto sums = sum_harmonics(compute_harmonics(site.lat_rad, site.lon_rad),
                                  kGptHarmonics);
  const double wave = std::cos(season_rad(t));
  SurfaceWeather w;
  w.undulation_m = sums[0];
  const double orthometric_m = site.height_m - w.undulation_m;
  const double sea_pressure_hpa = sums[1] + sums[2] * wave;
  const double sea_temperature_c = sums[3] + sums[4] * wave;
  // Standard atmosphere (Berg 1948): pressure by the height law, temperature
  // by 6.5 K/km.
  w.pressure_hpa =
      sea_pressure_hpa * std::pow(1 - 0.0000226 * orthometric_m, 5.225);
  w.temperature_c = sea_temperature_c - 0.0065 * orthometric_m;
  return w;
}

}  // namespace stillpoint::models
