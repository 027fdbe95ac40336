// A satellite in the sky of one end of a tie, and what this end's place and
// antenna add to its signals.
#pragma once

#include <cmath>
#include <vector>

#include "stillpoint/models/attitude.h"
#include "stillpoint/solve/ppp_antennas.h"
#include "stillpoint/solve/ppp_site.h"
#include "stillpoint/solve/sight.h"
#include "stillpoint/solve/tie_rows.h"
#include "stillpoint/solve/tie_solver.h"

namespace stillpoint::solve {

// One end: place and antenna.
class TieView {
 public:
  TieView(const TieOptions& tie,
          const TieEnd& end,
          const TieSession& session,
          const Ecef& marker_m);
  TieView(const TieView&) = delete;
  TieView& operator=(const TieView&) = delete;

  bool prepare(GnssTime t) { return site_.prepare(t); }

  // The satellite in this end's sky; false below the mask.
  bool look(SatId sat, const SatelliteState& state);
  // Range and everything that is the same for all bands [m].
  [[nodiscard]] double common_m(const SatelliteState& state, bool far) const;
  // What the antennas of both add on one band [m].
  double antenna_m(SatId sat,
                   const SatelliteState& state,
                   GnssTime t,
                   SignalCode signal,
                   double wavelength_m,
                   bool far);
  // Turn of the phase [cycles]; once an epoch and satellite.
  double turn_cyc(SatId sat, const SatelliteState& state, GnssTime t);

  // False: the products know the antennas of other satellites, not of this one.
  bool knows(SatId sat, GnssTime t) {
    return antennas_.satellite(sat, t).pattern != nullptr ||
           !antennas_.knows_satellites(t);
  }

  [[nodiscard]] const Sight& sight() const { return sight_; }
  [[nodiscard]] double elevation_rad() const { return elevation_rad_; }
  [[nodiscard]] double azimuth_rad() const {
    return std::atan2(local_.e_m, local_.n_m);
  }
  [[nodiscard]] double wet_mapping() const { return mapping_.wet; }
  [[nodiscard]] const PppAntennas& antennas() const { return antennas_; }
  [[nodiscard]] double zenith_m() const {
    return site_.zenith_hydrostatic_m() + site_.zenith_wet_m();
  }

 private:
  models::BodyAxes axes(SatId sat, const SatelliteState& state, GnssTime t);

  PppOptions options_;
  PppSite site_;
  PppAntennas antennas_;
  std::vector<double> turns_;
  Sight sight_;
  Enu local_;
  double elevation_rad_ = 0;
  models::MappingFactors mapping_{};
};

}  // namespace stillpoint::solve
