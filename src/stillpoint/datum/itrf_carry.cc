#include "stillpoint/datum/itrf_carry.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "stillpoint/core/check.h"
#include "stillpoint/datum/frames.h"
#include "stillpoint/datum/national_frames.h"

namespace stillpoint {
namespace {

// As of known coordinates (solve/known_station.cc).
constexpr double kMattersM = 0.001, kFastestMPerYear = 0.080;
// Our judgement: what plates and their models are uncertain by far from their
// rims.
constexpr double kPlateSigmaMPerYear = 0.0003;
// From memory: see docs/frames.md, "WGS84".
constexpr double kBroadcastSigmaM = 0.05;

void add_sigma(Cov3& covariance_m2, double sigma_m) {
  for (const std::size_t i : {0U, 4U, 8U}) {
    covariance_m2.at(i) += sigma_m * sigma_m;
  }
}

// EPSG:9991, the one set between the two.
const ParameterSet& from_2014_to_2020() {
  const auto sets = parameter_sets();
  const auto set = std::ranges::find_if(sets, [](const ParameterSet& s) {
    return s.head.from == "ITRF2014" && s.head.to == "ITRF2020";
  });
  STILLPOINT_CHECK(set != sets.end());
  return *set;
}

Ecef changed(const Ecef& at, PlateModel from, PlateModel to, GnssTime epoch) {
  if (from == to) {
    return at;
  }
  const ParameterSet& set = from_2014_to_2020();
  if (to == PlateModel::kItrf2020) {
    return transformed(set, at, epoch);
  }
  // The reverse: the set changes positions by millimetres, so that its change
  // at the first guess is right to 1e-11 m.
  const Ecef guess = at - (transformed(set, at, epoch) - at);
  return at - (transformed(set, guess, epoch) - guess);
}

std::optional<Plate> plate_for(PlateModel model,
                               const Ecef& at,
                               std::string_view name) {
  return name.empty() ? plate_of_place(model, at) : find_plate(model, name);
}

bool motion_matters(double years) {
  return std::abs(years) * kFastestMPerYear > kMattersM;
}

}  // namespace

std::optional<FamilyMember> family_member(std::string_view frame_label) {
  const FrameLabel label = frame_of_label(frame_label);
  if (label.aligned_to == "ITRF2020") {
    return FamilyMember{PlateModel::kItrf2020, false};
  }
  if (label.aligned_to == "ITRF2014") {
    return FamilyMember{PlateModel::kItrf2014, false};
  }
  if (label.aligned_to == "WGS84") {
    return FamilyMember{PlateModel::kItrf2020, true};
  }
  return std::nullopt;
}

std::optional<Plate> plate_of_place(PlateModel model, const Ecef& at) {
  constexpr double kDegPerRad = 180.0 / std::numbers::pi;
  const Geodetic place = to_geodetic(at);
  const double lat_deg = place.lat_rad * kDegPerRad;
  const double lon_deg = place.lon_rad * kDegPerRad;
  const bool europe =
      lat_deg >= 37.5 && lat_deg <= 72 && lon_deg >= -12 && lon_deg <= 40;
  const bool aegean = lat_deg < 42 && lon_deg > 19;
  if (!europe || aegean) {
    return std::nullopt;
  }
  return find_plate(model, "EURA");
}

const char* carry_refusal_name(CarryRefusal refusal) {
  return refusal == CarryRefusal::kFrameUnknown ? "frame_unknown"
                                                : "plate_unknown";
}

tl::expected<CarriedPosition, CarryRefusal> carry(
    const FramedPosition& position, const FrameGoal& goal) {
  const double years = years_between(position.epoch, goal.epoch);
  const FrameLabel from_label = frame_of_label(position.frame.name);
  const FrameLabel goal_label = frame_of_label(goal.frame.name);
  const bool same_frame = from_label.frame == goal_label.frame;
  CarriedPosition out;
  out.position = position;
  out.position.frame = goal_label.frame;
  const auto from = family_member(position.frame.name);
  const auto to = family_member(goal.frame.name);
  if ((!from || !to) && (!same_frame || motion_matters(years))) {
    return tl::unexpected(CarryRefusal::kFrameUnknown);
  }
  if (from && to && !same_frame) {
    out.position.ecef = changed(
        position.ecef, from->realisation, to->realisation, position.epoch);
    out.broadcast = from->broadcast != to->broadcast;
    if (out.broadcast) {
      add_sigma(out.position.covariance_m2, kBroadcastSigmaM);
    }
  }
  const auto plate =
      to ? plate_for(to->realisation, out.position.ecef, goal.plate)
         : std::nullopt;
  if (!plate && (motion_matters(years) || !goal.plate.empty())) {
    return tl::unexpected(to ? CarryRefusal::kPlateUnknown
                             : CarryRefusal::kFrameUnknown);
  }
  if (plate) {
    const Ecef before = out.position.ecef;
    out.position = carried_by(out.position, *plate, goal.epoch);
    out.moved_m = norm(out.position.ecef - before);
    if (years != 0) {
      out.moved_by = "plate model " + plate->label();
    }
    add_sigma(out.position.covariance_m2, kPlateSigmaMPerYear * years);
  } else {
    out.position.epoch = goal.epoch;
    add_sigma(out.position.covariance_m2, kFastestMPerYear * years);
  }
  return out;
}

std::optional<double> plate_motion_since(const FramedPosition& position,
                                         GnssTime now,
                                         std::string_view plate) {
  const auto member = family_member(position.frame.name);
  if (!member) {
    return std::nullopt;
  }
  const auto found = plate_for(member->realisation, position.ecef, plate);
  if (!found) {
    return std::nullopt;
  }
  const EcefVelocity v = velocity_m_per_year(*found, position.ecef);
  return std::abs(years_between(position.epoch, now)) *
         std::hypot(v.x_m_per_year, v.y_m_per_year, v.z_m_per_year);
}

}  // namespace stillpoint
