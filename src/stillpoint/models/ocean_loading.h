// How far the weight of the ocean's tides moves the ground at a station.
#pragma once

#include <array>
#include <cstddef>

#include "stillpoint/aids/loading_tides.h"
#include "stillpoint/geo/coords.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::models {

// The displacement of one station. The eleven tides of the coefficients are
// spread over 342: response per unit of tidal potential as a smooth function of
// frequency.
class OceanLoading {
 public:
  // Works out the tides and their phases.
  //
  //   tides   amplitudes [m] and phase lags [rad]; a station without motion has
  //           zeros
  //   around  a time near to those asked for; one object serves months
  //   threads some 100 us
  OceanLoading(const LoadingTides& tides, GnssTime around);

  // Displacement of the ground at a time.
  //
  //   returns   [m], east, north, up; at most some centimetres
  //   source    IERS Conventions (2010), ch. 7.1.2, routine HARDISP
  //   accuracy  1 um against the printed series of that routine (their last
  //             digit); of the
  //             coefficients, about a tenth of the displacement at rugged
  //             coasts (from memory). A leap second between `around` and t
  //             costs 1.5e-4 of the displacement.
  //   threads   const; under 20 us
  [[nodiscard]] Enu displacement_m(GnssTime t) const;

  static constexpr std::size_t kTides = 342;

 private:
  // Rate [rad/s] and, for radial, west, south, the factors [m] of the cosine
  // and of the sine of rate times time since around_.
  struct Wave {
    double rate = 0;
    std::array<double, 3> cosine_m{}, sine_m{};
  };
  GnssTime around_;
  std::array<Wave, kTides> waves_{};
};

// How much is typically left out, up, where a station has no coefficients [m]:
// for the warning that says so. Our judgement: 10 mm, what a coast can have; we
// know no place's sea. Inland it is a few millimetres, at some ocean coasts 50.
double usual_loading_m(const Geodetic& site);

}  // namespace stillpoint::models
