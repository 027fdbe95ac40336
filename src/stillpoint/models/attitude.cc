#include "stillpoint/models/attitude.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "stillpoint/models/earth_rotation.h"
#include "stillpoint/models/yaw_turns.h"

namespace stillpoint::models {
namespace {

// Sines of 4 and 20 degrees: orbit-normal flight below these betas, for
// BeiDou-2 and QZS-1; of 16 and 45 degrees: see kTurnBetaRad, kTurnOrbitRad.
constexpr double kSineBeidouNormal = 0.069756473744125300;
constexpr double kSineQzssNormal = 0.34202014332566873;
constexpr double kSineTurnBeta = 0.27563735581699916;
constexpr double kSineTurnOrbit = 0.70710678118654752;

Ecef cross_of(const Ecef& a, const Ecef& b) {
  return {a.y_m * b.z_m - a.z_m * b.y_m,
          a.z_m * b.x_m - a.x_m * b.z_m,
          a.x_m * b.y_m - a.y_m * b.x_m};
}

Ecef momentum(const Ecef& satellite_m, const Ecef& velocity_mps) {
  const Ecef inertial{velocity_mps.x_m - kEarthRateRadPerS * satellite_m.y_m,
                      velocity_mps.y_m + kEarthRateRadPerS * satellite_m.x_m,
                      velocity_mps.z_m};
  return cross_of(satellite_m, inertial);
}

// Right-handed: along the motion, up, the orbit's normal.
struct OrbitAxes {
  Ecef along, up, normal;
  double rate_radps = 0;  // 0: no plane, normal and along are zero
};

OrbitAxes orbit_axes(const Ecef& satellite_m,
                     const Ecef& velocity_mps,
                     double radius_m) {
  OrbitAxes axes;
  axes.up = (1 / radius_m) * satellite_m;
  const Ecef h = momentum(satellite_m, velocity_mps);
  const double size = norm(h);
  if (size > 0) {
    axes.normal = (1 / size) * h;
    axes.along = cross_of(axes.normal, axes.up);
    axes.rate_radps = size / (radius_m * radius_m);
  }
  return axes;
}

BodyAxes nominal_axes(const Ecef& satellite_m,
                      const Ecef& velocity_mps,
                      const Ecef& sun_m,
                      double radius_m) {
  BodyAxes body;
  body.z = (-1 / radius_m) * satellite_m;
  Ecef across = cross_of(body.z, sun_m);
  double size = norm(across);
  // 1e-14 of the Sun's distance: rounding.
  if (size <= 1e-14 * norm(sun_m)) {
    across = -1.0 * momentum(satellite_m, velocity_mps);
    size = norm(across);
  }
  body.y = (1 / size) * across;
  body.x = cross_of(body.y, body.z);
  return body;
}

BodyAxes orbit_normal_axes(const OrbitAxes& orbit) {
  return {.x = orbit.along, .y = -1.0 * orbit.normal, .z = -1.0 * orbit.up};
}

bool flies_orbit_normal(YawHabit habit, double sine_beta) {
  switch (habit) {
    case YawHabit::kBeidouGeo:
    case YawHabit::kOrbitNormal:
      return true;
    case YawHabit::kBeidouMeoIgso:
      return std::abs(sine_beta) < kSineBeidouNormal;
    case YawHabit::kQzss1:
      return std::abs(sine_beta) < kSineQzssNormal;
    default:
      return false;
  }
}

// The body at a yaw that is `offset_rad` from that of noon or midnight, where
// x points to the side of the orbital plane the Sun is on.
BodyAxes turned_axes(const OrbitAxes& orbit,
                     const Passage& passage,
                     double offset_rad) {
  const double along =
      passage.noon ? -std::sin(offset_rad) : std::sin(offset_rad);
  const double across =
      passage.beta_rad < 0 ? -std::cos(offset_rad) : std::cos(offset_rad);
  BodyAxes body;
  body.x = along * orbit.along + across * orbit.normal;
  body.z = -1.0 * orbit.up;
  body.y = cross_of(body.z, body.x);
  return body;
}

// Types as ANTEX names them; a name that ends in '*' stands for all that begin
// so. BeiDou-2's and QZSS's later satellites: see yaw_habit().
constexpr std::array<std::pair<std::string_view, YawHabit>, 17> kTypes{{
    {"BLOCK II", YawHabit::kGpsIIA},
    {"BLOCK IIA", YawHabit::kGpsIIA},
    {"BLOCK IIR*", YawHabit::kGpsIIR},
    {"BLOCK IIF", YawHabit::kGpsIIF},
    {"BLOCK III*", YawHabit::kGpsIII},
    {"GLONASS-M*", YawHabit::kGlonassM},
    {"GALILEO-1", YawHabit::kGalileoIov},
    {"GALILEO-2", YawHabit::kGalileoFoc},
    {"BEIDOU-2M", YawHabit::kBeidouMeoIgso},
    {"BEIDOU-2I", YawHabit::kBeidouMeoIgso},
    {"BEIDOU-2G", YawHabit::kBeidouGeo},
    {"BEIDOU-3G*", YawHabit::kBeidouGeo},
    {"BEIDOU-3*", YawHabit::kBeidou3},
    {"QZSS", YawHabit::kQzss1},
    {"QZSS-2G*", YawHabit::kOrbitNormal},
    {"QZSS-2*", YawHabit::kQzss2},
    {"QZSS-3G*", YawHabit::kOrbitNormal},
}};

bool matches(std::string_view pattern, std::string_view type) {
  if (pattern.ends_with('*')) {
    pattern.remove_suffix(1);
    return type.starts_with(pattern);
  }
  return type == pattern;
}

YawHabit habit_of_system(SatId sat) {
  switch (sat.system) {
    case System::kBeidou:
      // Geostationary: C01 to C05 and C59 to C63.
      return sat.number <= 5 || sat.number >= 59 ? YawHabit::kBeidouGeo
                                                 : YawHabit::kNominal;
    case System::kSbas:
      return YawHabit::kOrbitNormal;
    default:
      return YawHabit::kNominal;
  }
}

}  // namespace

YawHabit yaw_habit(SatId sat, std::string_view block_type) {
  while (block_type.ends_with(' ')) {
    block_type.remove_suffix(1);
  }
  // BeiDou-2's sixth and seventh inclined satellite steer as BeiDou-3 does;
  // C15 was the sixth's number in 2016.
  if (block_type == "BEIDOU-2I" && sat.system == System::kBeidou &&
      (sat.number == 13 || sat.number == 15 || sat.number == 16)) {
    return YawHabit::kBeidou3;
  }
  const auto* const found =
      std::find_if(kTypes.begin(), kTypes.end(), [&](const auto& row) {
        return matches(row.first, block_type);
      });
  return found == kTypes.end() ? habit_of_system(sat) : found->second;
}

BodyAxes satellite_axes(YawHabit habit,
                        const Ecef& satellite_m,
                        const Ecef& velocity_mps,
                        const Ecef& sun_m,
                        AttitudeNote* note) {
  if (note != nullptr) {
    *note = {};
  }
  const double radius_m = norm(satellite_m);
  if (habit == YawHabit::kNominal) {
    return nominal_axes(satellite_m, velocity_mps, sun_m, radius_m);
  }
  const OrbitAxes orbit = orbit_axes(satellite_m, velocity_mps, radius_m);
  const Ecef sun = (1 / norm(sun_m)) * sun_m;
  const double sine_beta = dot(sun, orbit.normal);
  if (orbit.rate_radps > 0 && flies_orbit_normal(habit, sine_beta)) {
    if (note != nullptr) {
      note->turning = true;
    }
    return orbit_normal_axes(orbit);
  }
  const double sun_along = dot(sun, orbit.along);
  if (orbit.rate_radps > 0 && std::abs(sine_beta) < kSineTurnBeta &&
      std::abs(sun_along) < kSineTurnOrbit) {
    const double sun_up = dot(sun, orbit.up);
    const bool noon = sun_up > 0;
    const Passage passage{.noon = noon,
                          .orbit_rad = std::atan2(noon ? -sun_along : sun_along,
                                                  std::abs(sun_up)),
                          .beta_rad = std::asin(sine_beta),
                          .orbit_rate_radps = orbit.rate_radps,
                          .radius_m = radius_m};
    const Turn turn = yaw_turn(habit, passage);
    if (note != nullptr) {
      *note = {.turning = turn.turning, .uncertain = turn.uncertain};
    }
    if (turn.turning) {
      return turned_axes(orbit, passage, turn.offset_rad);
    }
  }
  return nominal_axes(satellite_m, velocity_mps, sun_m, radius_m);
}

double sun_beta_rad(const Ecef& satellite_m,
                    const Ecef& velocity_mps,
                    const Ecef& sun_m) {
  const Ecef h = momentum(satellite_m, velocity_mps);
  const double size = norm(h) * norm(sun_m);
  return size > 0 ? std::asin(std::clamp(dot(h, sun_m) / size, -1.0, 1.0)) : 0;
}

}  // namespace stillpoint::models
