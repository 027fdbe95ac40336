#include "stillpoint/simulate/receiver/air.h"

#include <cmath>

#include "stillpoint/simulate/nature/gauss_markov.h"
#include "stillpoint/simulate/streams.h"

namespace stillpoint::simulate {
namespace {

// Water vapour halves in about 1.4 km: common practice, no source.
constexpr double kWetScaleM = 2000;
constexpr double kGradientLastsS = 6 * 3600;

}  // namespace

Atmosphere air_over(const Scenario& scenario,
                    const Geodetic& place,
                    double t_s) {
  Atmosphere air;
  const GnssTime t = scenario.start + Duration{t_s};
  const WeatherScenario& weather = scenario.weather;
  const double first_m = scenario.receivers.front().marker.height_m;
  if (scenario.effects.has(Effect::kTroposphere)) {
    const double standard = standard_pressure_hpa(place.height_m);
    const double pressure =
        weather.pressure_hpa
            ? *weather.pressure_hpa * standard / standard_pressure_hpa(first_m)
            : standard;
    air.zenith_hydrostatic_m =
        zenith_hydrostatic_m(pressure, place.lat_rad, place.height_m);
    const double change = weather.wet_change_m *
                          gauss_markov(key_of(scenario.seed, Stream::kWetDelay),
                                       t,
                                       3600 * weather.wet_hours);
    air.zenith_wet_m = std::fmax(weather.wet_zenith_m + change, 0) *
                       std::exp((first_m - place.height_m) / kWetScaleM);
  }
  if (scenario.effects.has(Effect::kGradients)) {
    const RandomKey key = key_of(scenario.seed, Stream::kGradient);
    air.gradient_north_m =
        weather.gradient_m * gauss_markov(sub_key(key, 0), t, kGradientLastsS);
    air.gradient_east_m =
        weather.gradient_m * gauss_markov(sub_key(key, 1), t, kGradientLastsS);
  }
  return air;
}

}  // namespace stillpoint::simulate
