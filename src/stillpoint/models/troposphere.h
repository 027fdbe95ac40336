// The a priori neutral atmosphere of one site on one day: zenith delays from
// mean weather (GPT) or from the owner's own, mapped to any elevation (GMF).
#pragma once

#include <optional>

#include "stillpoint/core/result.h"
#include "stillpoint/geo/coords.h"
#include "stillpoint/models/gmf.h"
#include "stillpoint/models/gpt.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::models {

// What the owner measured; each missing value comes from the models.
struct MeasuredWeather {
  std::optional<double> pressure_hpa;  // at the antenna, not at sea level
  std::optional<double> temperature_c;
  std::optional<double> relative_humidity;  // 0 .. 1
};

class TroposphereModel {
 public:
  // Works everything out that depends on place and day; costs some
  // microseconds. The season is the only time dependence: make one a day.
  //
  //   site      height above the ellipsoid, -500 .. 9000 m
  //   measured  what is known better than the season's mean
  //   errors    kOutOfRange for a place, pressure (100 .. 1100 hPa) or
  //             temperature (-100 .. 60 deg C) outside the range
  //   accuracy  one sigma at the zenith, from memory: hydrostatic about 15 mm
  //             at middle latitudes (7 hPa), 1 mm with measured pressure; wet
  //             about 50 mm. The wet part has to be estimated where
  //             millimetres count; for code positions this is enough
  //   source    gpt.h, saastamoinen.h, gmf.h
  static Result<TroposphereModel> at(const Geodetic& site,
                                     GnssTime t,
                                     const MeasuredWeather& measured = {});

  [[nodiscard]] double zenith_hydrostatic_m() const { return hydrostatic_m_; }
  [[nodiscard]] double zenith_wet_m() const { return wet_m_; }

  // Factors to map zenith delays (and the partial derivative of a range by
  // the wet zenith delay) to an elevation; clamped below 2 degrees.
  [[nodiscard]] MappingFactors mapping(double elevation_rad) const {
    return mapping_.factors(elevation_rad);
  }

  // A priori delay along the ray.
  //
  //   elevation_rad  [rad]; below 2 degrees taken as 2 degrees
  //   returns        [m], positive: add it to a computed range
  //   threads        pure; under 100 ns
  [[nodiscard]] double slant_m(double elevation_rad) const {
    return slant_m(mapping(elevation_rad));
  }
  // The same with factors that are at hand.
  [[nodiscard]] double slant_m(const MappingFactors& f) const {
    return hydrostatic_m_ * f.hydrostatic + wet_m_ * f.wet;
  }

 private:
  TroposphereModel(const GlobalMapping& mapping,
                   double hydrostatic_m,
                   double wet_m)
      : mapping_(mapping), hydrostatic_m_(hydrostatic_m), wet_m_(wet_m) {}

  GlobalMapping mapping_;
  double hydrostatic_m_ = 0, wet_m_ = 0;
};

}  // namespace stillpoint::models
