// The station at an instant: where its antenna is, with tides, and the air
// above it.
#pragma once

#include <optional>

#include "stillpoint/models/ocean_loading.h"
#include "stillpoint/models/sun_moon.h"
#include "stillpoint/models/troposphere.h"
#include "stillpoint/solve/ppp_options.h"
#include "stillpoint/solve/ppp_rows.h"

namespace stillpoint::solve {

class PppSite {
 public:
  PppSite(const PppOptions& options, const PppSession& session);

  // Brings everything to an epoch; false where the reference is no place for
  // the models.
  bool prepare(GnssTime t);

  // Of the epoch prepared last. The antenna reference point, displaced by the
  // tides.
  [[nodiscard]] const Ecef& antenna_m() const { return antenna_m_; }
  [[nodiscard]] const Ecef& sun_m() const { return sun_m_; }
  [[nodiscard]] const Mat3& enu_R_ecef() const { return enu_R_ecef_; }
  [[nodiscard]] const models::TroposphereModel& troposphere() const {
    return *troposphere_;
  }
  // Of the middle of the session [m]; 0 before the first prepare().
  [[nodiscard]] double zenith_hydrostatic_m() const;
  [[nodiscard]] double zenith_wet_m() const;
  // Pole tide asked for, orientation not at hand.
  [[nodiscard]] bool earth_missing() const { return earth_missing_; }

  // Code variation of BeiDou's second generation, ionosphere-free [m].
  [[nodiscard]] double beidou_code_m(const PppRow& row,
                                     double elevation_rad) const;

 private:
  const PppOptions& options_;
  Ecef marker_m_, reference_point_m_;
  Mat3 enu_R_ecef_{};
  Geodetic place_;
  models::SunMoonTrack track_;
  std::optional<models::OceanLoading> loading_;
  std::optional<models::TroposphereModel> troposphere_;
  std::int64_t troposphere_slot_ = -1;
  Ecef antenna_m_, sun_m_;
  bool earth_missing_ = false;
};

}  // namespace stillpoint::solve
