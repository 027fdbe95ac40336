#include "stillpoint/datum/plate_motion.h"

#include <cctype>
#include <numbers>

namespace stillpoint {
namespace {

// source: Altamimi et al., "ITRF2014 plate motion model", Geophys. J. Int. 209
// (2017), doi:10.1093/gji/ggx136
constexpr std::array kPlates2014{
    Plate{PlateModel::kItrf2014, "ANTA", {-0.248, -0.324, 0.675}},
    Plate{PlateModel::kItrf2014, "ARAB", {1.154, -0.136, 1.444}},
    Plate{PlateModel::kItrf2014, "AUST", {1.51, 1.182, 1.215}},
    Plate{PlateModel::kItrf2014, "EURA", {-0.085, -0.531, 0.77}},
    Plate{PlateModel::kItrf2014, "INDI", {1.154, -0.005, 1.454}},
    Plate{PlateModel::kItrf2014, "NAZC", {-0.333, -1.544, 1.623}},
    Plate{PlateModel::kItrf2014, "NOAM", {0.024, -0.694, -0.063}},
    Plate{PlateModel::kItrf2014, "NUBI", {0.099, -0.614, 0.733}},
    Plate{PlateModel::kItrf2014, "PCFC", {-0.409, 1.047, -2.169}},
    Plate{PlateModel::kItrf2014, "SOAM", {-0.27, -0.301, -0.14}},
    Plate{PlateModel::kItrf2014, "SOMA", {-0.121, -0.794, 0.884}},
};

// source: Altamimi et al., "ITRF2020 plate motion model", Geophys. Res. Lett.
// (2023), doi:10.1029/2023GL106373
constexpr std::array kPlates2020{
    Plate{PlateModel::kItrf2020, "AMUR", {-0.131, -0.551, 0.837}},
    Plate{PlateModel::kItrf2020, "ANTA", {-0.269, -0.312, 0.678}},
    Plate{PlateModel::kItrf2020, "ARAB", {1.129, -0.146, 1.438}},
    Plate{PlateModel::kItrf2020, "AUST", {1.487, 1.175, 1.223}},
    Plate{PlateModel::kItrf2020, "CARB", {0.207, -1.422, 0.726}},
    Plate{PlateModel::kItrf2020, "EURA", {-0.085, -0.519, 0.753}},
    Plate{PlateModel::kItrf2020, "INDI", {1.137, 0.013, 1.444}},
    Plate{PlateModel::kItrf2020, "NAZC", {-0.327, -1.561, 1.605}},
    Plate{PlateModel::kItrf2020, "NOAM", {0.045, -0.666, -0.098}},
    Plate{PlateModel::kItrf2020, "NUBI", {0.09, -0.585, 0.717}},
    Plate{PlateModel::kItrf2020, "PCFC", {-0.404, 1.021, -2.154}},
    Plate{PlateModel::kItrf2020, "SOAM", {-0.261, -0.282, -0.157}},
    Plate{PlateModel::kItrf2020, "SOMA", {-0.081, -0.719, 0.864}},
};
constexpr EcefVelocity kOriginRateBias2020{0.00037, 0.00035, 0.00074};

constexpr double kRadPerMas = std::numbers::pi / (180.0 * 3600.0 * 1000.0);
constexpr double kJulianYearS = 365.25 * 86400.0;

bool same_name(std::string_view typed, std::string_view name) {
  if (typed.size() != name.size()) {
    return false;
  }
  for (std::size_t i = 0; i < name.size(); ++i) {
    if (std::toupper(static_cast<unsigned char>(typed[i])) != name[i]) {
      return false;
    }
  }
  return true;
}

}  // namespace

std::string Plate::label() const {
  return std::string(plate_model_name(model)) + " " + std::string(name);
}

const char* plate_model_name(PlateModel model) {
  return model == PlateModel::kItrf2014 ? "ITRF2014" : "ITRF2020";
}

const char* plate_model_source(PlateModel model) {
  return model == PlateModel::kItrf2014
             ? "Altamimi et al. 2017, doi:10.1093/gji/ggx136"
             : "Altamimi et al. 2023, doi:10.1029/2023GL106373";
}

std::span<const Plate> plates(PlateModel model) {
  if (model == PlateModel::kItrf2014) {
    return kPlates2014;
  }
  return kPlates2020;
}

std::optional<Plate> find_plate(PlateModel model, std::string_view name) {
  for (const Plate& plate : plates(model)) {
    if (same_name(name, plate.name)) {
      return plate;
    }
  }
  return std::nullopt;
}

Result<Plate> require_plate(PlateModel model, std::string_view name) {
  if (const auto plate = find_plate(model, name)) {
    return *plate;
  }
  std::string allowed;
  for (const Plate& plate : plates(model)) {
    allowed += (allowed.empty() ? "" : ", ") + std::string(plate.name);
  }
  return fail(ErrorCode::kUsage,
              "'" + std::string(name) + "' is not a plate of the " +
                  plate_model_name(model) + " plate motion model",
              {},
              "give one of " + allowed);
}

EcefVelocity velocity_m_per_year(const Plate& plate, const Ecef& at) {
  const auto& [x_mas, y_mas, z_mas] = plate.omega_mas_per_year;
  return {kRadPerMas * (y_mas * at.z_m - z_mas * at.y_m),
          kRadPerMas * (z_mas * at.x_m - x_mas * at.z_m),
          kRadPerMas * (x_mas * at.y_m - y_mas * at.x_m)};
}

EcefVelocity origin_rate_bias_m_per_year(PlateModel model) {
  return model == PlateModel::kItrf2020 ? kOriginRateBias2020 : EcefVelocity{};
}

Ecef moved_by(const Ecef& at, const EcefVelocity& velocity, double years) {
  return {at.x_m + years * velocity.x_m_per_year,
          at.y_m + years * velocity.y_m_per_year,
          at.z_m + years * velocity.z_m_per_year};
}

double years_between(GnssTime from, GnssTime to) {
  return (to - from).s / kJulianYearS;
}

FramedPosition carried_by(const FramedPosition& position,
                          const Plate& plate,
                          GnssTime to_epoch) {
  FramedPosition moved = position;
  moved.ecef = moved_by(position.ecef,
                        velocity_m_per_year(plate, position.ecef),
                        years_between(position.epoch, to_epoch));
  moved.epoch = to_epoch;
  return moved;
}

}  // namespace stillpoint
