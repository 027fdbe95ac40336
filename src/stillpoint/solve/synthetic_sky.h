// For the tests of this module: invented circular orbits and code ranges to
// them, made with their own geometry (signal traced in non-turning axes).
#pragma once

#include <cmath>
#include <numbers>
#include <random>
#include <vector>

#include "stillpoint/gnss/epoch.h"
#include "stillpoint/gnss/orbit_source.h"
#include "stillpoint/models/troposphere.h"

namespace stillpoint::solve::test {

inline constexpr double kTurnRadPerS = 7.2921151467e-5;

// 24 satellites in six planes; clock offsets that differ by satellite.
class InventedOrbits final : public OrbitSource {
 public:
  static constexpr double kRadiusM = 26'560'000;
  double last_s = 1e9;  // no orbits later than this, seconds()

  // Position in axes that do not turn and coincide with ECEF at t = 0.
  static Ecef inertial(int number, double t_s) {
    const int plane_number = (number - 1) / 4;
    const int slot = (number - 1) % 4;
    const double plane = 2 * std::numbers::pi / 6 * plane_number;
    const double along = 2 * std::numbers::pi / 4 * slot + 0.35 * plane_number;
    const double u =
        along + std::sqrt(3.986004418e14 / std::pow(kRadiusM, 3)) * t_s;
    const double x = std::cos(u), y = std::sin(u) * std::cos(0.9599);
    return kRadiusM * Ecef{std::cos(plane) * x - std::sin(plane) * y,
                           std::sin(plane) * x + std::cos(plane) * y,
                           std::sin(u) * std::sin(0.9599)};
  }
  static Ecef turned(const Ecef& p, double angle_rad) {
    const double c = std::cos(angle_rad), s = std::sin(angle_rad);
    return {c * p.x_m + s * p.y_m, -s * p.x_m + c * p.y_m, p.z_m};
  }
  static double seconds(GnssTime t) {
    return (t - GnssTime::from_gps_week(2300, 0)).s;
  }
  static double clock_s(int number) { return 1e-5 * (number - 12); }

  [[nodiscard]] tl::expected<SatelliteState, NoState> state(
      SatId sat, GnssTime t) const override {
    if (sat.system != System::kGps || sat.number < 1 || sat.number > 24) {
      return tl::unexpected(NoState::kUnknownSatellite);
    }
    const double s = seconds(t);
    if (s > last_s) {
      return tl::unexpected(NoState::kOutsideValidity);
    }
    const auto at = [&](double when_s) {
      return turned(inertial(sat.number, when_s), kTurnRadPerS * when_s);
    };
    SatelliteState state;
    state.position_m = at(s);
    state.velocity_mps = 5.0 * (at(s + 0.1) - at(s - 0.1));
    state.clock_s = clock_s(sat.number);
    state.range_sigma_m = 0.1;
    state.issue = 1;
    return state;
  }
  [[nodiscard]] std::optional<double> group_delay_s(SatId,
                                                    GnssTime,
                                                    SignalCode) const override {
    return 0.0;
  }
  [[nodiscard]] std::optional<int> glonass_channel(SatId) const override {
    return std::nullopt;
  }
  [[nodiscard]] std::string frame_label() const override { return "IGS20"; }
};

inline Ecef invented_antenna() {
  const Geodetic place{0.8255, 0.1553, 512.0};
  return to_ecef(place);
}

struct SkyOptions {
  Ecef antenna = invented_antenna();
  double receiver_clock_s = 3e-4;
  double noise_m = 0;
  double least_elevation_rad = 0.05;
  unsigned seed = 1;
};

// Two-frequency codes of one epoch; t_s seconds after week 2300 begins.
inline Epoch invented_epoch(double t_s, const SkyOptions& sky) {
  Epoch epoch;
  epoch.time =
      GnssTime::from_gps_week(2300, t_s) + Duration{sky.receiver_clock_s};
  // The reading is off by the clock; the true time of reception is t_s.
  const Geodetic place = to_geodetic(sky.antenna);
  const Mat3 enu = enu_R_ecef(place);
  const auto air = models::TroposphereModel::at(place, epoch.time);
  std::mt19937 random(sky.seed * 7919u + static_cast<unsigned>(t_s));
  std::normal_distribution<double> normal;
  const Ecef receiver =
      InventedOrbits::turned(sky.antenna, -kTurnRadPerS * t_s);
  for (int number = 1; number <= 24; ++number) {
    double flight_s = 0.07;
    Ecef sent;
    for (int i = 0; i < 6; ++i) {
      sent = InventedOrbits::inertial(number, t_s - flight_s);
      flight_s = norm(sent - receiver) / kSpeedOfLightMps;
    }
    const Ecef line =
        InventedOrbits::turned(sent - receiver, kTurnRadPerS * t_s);
    const double elevation_rad = azimuth_elevation(enu, line).elevation_rad;
    if (elevation_rad < sky.least_elevation_rad) {
      continue;
    }
    const double code_m = kSpeedOfLightMps * (flight_s + sky.receiver_clock_s -
                                              InventedOrbits::clock_s(number)) +
                          air->slant_m(elevation_rad);
    SatRows rows{
        .sat = {System::kGps, static_cast<std::uint8_t>(number)},
        .count = 2,
        .first = static_cast<std::uint32_t>(epoch.observations.size())};
    for (const char band : {'1', '2'}) {
      Observation o;
      o.signal = {band, 'W'};
      o.code_m = code_m + sky.noise_m * normal(random);
      o.cn0_dbhz = 45;
      epoch.observations.push_back(o);
    }
    epoch.satellites.push_back(rows);
  }
  return epoch;
}

}  // namespace stillpoint::solve::test
