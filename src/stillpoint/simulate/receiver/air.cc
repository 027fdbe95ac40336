#include "stillpoint/simulate/receiver/air.h"

#include <cmath>

#include "stillpoint/simulate/nature/gauss_markov.h"
#include "stillpoint/simulate/nature/wet_field.h"
#include "stillpoint/simulate/streams.h"

namespace stillpoint::simulate {
namespace {

// Water vapour halves in about 1.4 km: common practice, no source.
constexpr double kWetScaleM = 2000;
// How the height over which the wet delay falls to 1/e changes, and how long
// it stays: as the air is well mixed or layered (from memory).
constexpr double kWetScaleShare = 0.15, kWetScaleLastsS = 6 * 3600;
constexpr double kEarthM = 6'371'000;
constexpr double kGradientLastsS = 6 * 3600;

// The weather's pressure about its mean, and how long it stays: days, as highs
// and lows pass (from memory).
constexpr double kPressureHpa = 7, kPressureLastsS = 4 * 86'400;
// First coefficient of the hydrostatic mapping: a season's mean at middle
// latitudes, and how the day's value scatters about it (from memory).
constexpr double kMeanAh = 0.00125, kAhShare = 0.01, kAhLastsS = 86'400;

// At the height of the first receiver, over that of a standard atmosphere.
double pressure_ratio(const Scenario& scenario, double first_m, GnssTime t) {
  const double standard = standard_pressure_hpa(first_m);
  const double mean = scenario.weather.pressure_hpa.value_or(standard);
  const double change =
      kPressureHpa * gauss_markov(key_of(scenario.seed, Stream::kPressure),
                                  t,
                                  kPressureLastsS);
  return (mean + change) / standard;
}

// Wet delay of a place for that of the first receiver: by height, and by the
// patches of the field that lies over both. Exactly the argument where the
// first receiver stands.
double wet_elsewhere_m(const Scenario& scenario,
                       const Geodetic& place,
                       GnssTime t,
                       double first_wet_m) {
  const Geodetic& first = scenario.receivers.front().marker;
  const double north_m = kEarthM * (place.lat_rad - first.lat_rad);
  const double east_m =
      kEarthM * std::cos(first.lat_rad) * (place.lon_rad - first.lon_rad);
  const double scale_m =
      kWetScaleM *
      (1 +
       kWetScaleShare * gauss_markov(key_of(scenario.seed, Stream::kWetHeight),
                                     t,
                                     kWetScaleLastsS));
  const double share = std::exp((first.height_m - place.height_m) /
                                std::fmax(scale_m, kWetScaleM / 2));
  if (scenario.weather.wet_apart_m == 0 || (north_m == 0 && east_m == 0)) {
    return first_wet_m * share;
  }
  const RandomKey key = key_of(scenario.seed, Stream::kWetField);
  const double apart_m = scenario.weather.wet_apart_m;
  const double against_first_m = wet_field_m(key, apart_m, east_m, north_m, t) -
                                 wet_field_m(key, apart_m, 0, 0, t);
  return std::fmax(first_wet_m + against_first_m, 0) * share;
}

}  // namespace

Atmosphere air_over(const Scenario& scenario,
                    const Geodetic& place,
                    double t_s) {
  Atmosphere air;
  const GnssTime t = scenario.start + Duration{t_s};
  const WeatherScenario& weather = scenario.weather;
  const double first_m = scenario.receivers.front().marker.height_m;
  if (scenario.effects.has(Effect::kTroposphere)) {
    const double pressure = standard_pressure_hpa(place.height_m) *
                            pressure_ratio(scenario, first_m, t);
    air.zenith_hydrostatic_m =
        zenith_hydrostatic_m(pressure, place.lat_rad, place.height_m);
    air.ah =
        kMeanAh *
        (1 + kAhShare * gauss_markov(key_of(scenario.seed, Stream::kMapping),
                                     t,
                                     kAhLastsS));
    const double change = weather.wet_change_m *
                          gauss_markov(key_of(scenario.seed, Stream::kWetDelay),
                                       t,
                                       3600 * weather.wet_hours);
    air.zenith_wet_m = wet_elsewhere_m(
        scenario, place, t, std::fmax(weather.wet_zenith_m + change, 0));
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
