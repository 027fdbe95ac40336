// Plate motion models: the velocity of a point that rides on a rigid plate.
// Good to a few tenths of a millimetre per year inside a plate; near plate
// boundaries and where ice has melted it is not.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "stillpoint/core/result.h"
#include "stillpoint/geo/coords.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint {

enum class PlateModel : std::uint8_t { kItrf2014, kItrf2020 };

// A plate of a model by its four-letter name, with the rotation of the plate
// about the axes of the model's frame.
struct Plate {
  PlateModel model = PlateModel::kItrf2014;
  std::string_view name;                       // "EURA"
  std::array<double, 3> omega_mas_per_year{};  // about x, y, z
  // "ITRF2014 EURA", for the moved_by and source fields of documents.
  [[nodiscard]] std::string label() const;
};

// A velocity [m/year] along the Earth-fixed axes; a year is a Julian year of
// 365.25 days.
struct EcefVelocity {
  double x_m_per_year = 0, y_m_per_year = 0, z_m_per_year = 0;
};

const char* plate_model_name(PlateModel model);    // "ITRF2014"
const char* plate_model_source(PlateModel model);  // authors, year, doi

// All plates of a model, by name.
std::span<const Plate> plates(PlateModel model);

// The plate of that name, upper or lower case.
std::optional<Plate> find_plate(PlateModel model, std::string_view name);

// As find_plate, for what a person typed.
//
//   errors   kUsage that lists the names of the model
Result<Plate> require_plate(PlateModel model, std::string_view name);

// Velocity of a point on the plate, omega x r.
//
//   returns  [m/year], without the origin rate bias of the model
//   source   ITRF2014: Altamimi et al., Geophys. J. Int. 209 (2017),
//            doi:10.1093/gji/ggx136; ITRF2020: Altamimi et al., Geophys. Res.
//            Lett. (2023), doi:10.1029/2023GL106373
EcefVelocity velocity_m_per_year(const Plate& plate, const Ecef& at);

// What the source of the model adds to omega x r: the translation rate of the
// frame's origin against the plates' rotations; zero for ITRF2014.
//
//   differs  velocity_m_per_year leaves it out: a user of the frame wants the
//            plate's motion. Adding it reproduces the frame's own velocities
//            (0.9 mm/year for ITRF2020).
EcefVelocity origin_rate_bias_m_per_year(PlateModel model);

// Where a point of the frame is `years` later, along a constant velocity.
Ecef moved_by(const Ecef& at, const EcefVelocity& velocity, double years);

// Julian years from one instant to another.
double years_between(GnssTime from, GnssTime to);

// The position at another epoch, carried by its plate. The covariance is kept:
// the model's own uncertainty is the caller's to add.
FramedPosition carried_by(const FramedPosition& position,
                          const Plate& plate,
                          GnssTime to_epoch);

}  // namespace stillpoint
