#include "stillpoint/models/troposphere.h"

#include <string>

#include "stillpoint/models/saastamoinen.h"

namespace stillpoint::models {
namespace {

Status check_range(double value, double low, double high, const char* what) {
  if (value >= low && value <= high) {
    return ok();
  }
  return fail(ErrorCode::kOutOfRange,
              std::string(what) + " " + std::to_string(value) + " is outside " +
                  std::to_string(low) + " .. " + std::to_string(high));
}

}  // namespace

Result<TroposphereModel> TroposphereModel::at(const Geodetic& site,
                                              GnssTime t,
                                              const MeasuredWeather& measured) {
  auto mean = gpt(site, t);
  if (!mean) {
    return fail(std::move(mean.error()));
  }
  auto mapping = GlobalMapping::at(site, t);
  if (!mapping) {
    return fail(std::move(mapping.error()));
  }
  const double pressure_hpa =
      measured.pressure_hpa.value_or(mean->pressure_hpa);
  const double temperature_c =
      measured.temperature_c.value_or(mean->temperature_c);
  if (auto good = check_range(pressure_hpa, 100, 1100, "pressure in hPa");
      !good) {
    return fail(std::move(good.error()));
  }
  if (auto good = check_range(temperature_c, -100, 60, "temperature in deg C");
      !good) {
    return fail(std::move(good.error()));
  }
  const double vapour_hpa = vapour_pressure_hpa(
      temperature_c, measured.relative_humidity.value_or(kUsualHumidity));
  return TroposphereModel(*mapping,
                          models::zenith_hydrostatic_m(pressure_hpa, site),
                          models::zenith_wet_m(temperature_c, vapour_hpa));
}

}  // namespace stillpoint::models
