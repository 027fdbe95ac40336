// For the tests of the phase solution: the invented sky with carrier phases,
// an ionosphere, slips, noise and jumps of the receiver's clock.
#pragma once

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

#include "stillpoint/solve/ppp_collect.h"
#include "stillpoint/solve/ppp_geometry.h"
#include "stillpoint/solve/ppp_options.h"
#include "stillpoint/solve/ppp_rows.h"
#include "stillpoint/solve/synthetic_sky.h"

namespace stillpoint::solve::test {

// Carriers of GPS L1 and L2 (RINEX 4.02, tables of observation codes).
inline constexpr double kFirstHz = 1575.42e6, kSecondHz = 1227.60e6;
inline constexpr double kFirstM = kSpeedOfLightMps / kFirstHz;
inline constexpr double kSecondM = kSpeedOfLightMps / kSecondHz;

// The invented orbits as a final product would state them.
class SceneOrbits final : public OrbitSource {
 public:
  InventedOrbits sky;
  bool centre_of_mass = false;

  [[nodiscard]] tl::expected<SatelliteState, NoState> state(
      SatId sat, GnssTime t) const override {
    auto found = sky.state(sat, t);
    if (found) {
      found->range_sigma_m = 0.03;
      found->issue = -1;
      found->centre_of_mass = centre_of_mass;
    }
    return found;
  }
  [[nodiscard]] std::optional<double> group_delay_s(
      SatId sat, GnssTime t, SignalCode signal) const override {
    return sky.group_delay_s(sat, t, signal);
  }
  [[nodiscard]] std::optional<int> glonass_channel(SatId sat) const override {
    return sky.glonass_channel(sat);
  }
  [[nodiscard]] std::string frame_label() const override {
    return sky.frame_label();
  }
};

// From epoch `epoch` on, cycles more on each frequency.
struct Slip {
  SatId sat;
  int epoch = 0;
  double first_cyc = 0, second_cyc = 0;
};

struct Scene {
  SkyOptions sky{};
  double start_s = 36'000, step_s = 30;
  // One sigma of one frequency at the zenith; grows with the cosecant.
  double phase_noise_m = 0, code_noise_m = 0;
  // Air beside the a priori model's, mapped by 1 / sin(elevation).
  double extra_zenith_m = 0;
  std::vector<Slip> slips{};
  // From this epoch on the receiver's clock is off by so much more.
  int jump_epoch = 1 << 30;
  double code_jump_s = 0, phase_jump_s = 0;
  double drift = 0;  // of the receiver's clock [s/s]
};

inline SatId gps(int number) {
  return {System::kGps, static_cast<std::uint8_t>(number)};
}

// Vertical delay of 2 m on the first frequency that comes and goes, through a
// thin shell 450 km above a sphere.
inline double ionosphere_m(double elevation_rad, double t_s) {
  const double sine = 6371.0 / 6821.0 * std::cos(elevation_rad);
  return 2 * (1 + 0.5 * std::sin(t_s / 7000)) / std::sqrt(1 - sine * sine);
}

// Epoch k of the scene: codes from the sky of synthetic_sky.h, phases by the
// range less the ionosphere plus whole cycles.
inline Epoch scene_epoch(const Scene& scene, int k) {
  const double t_s = scene.start_s + k * scene.step_s;
  const bool jumped = k >= scene.jump_epoch;
  SkyOptions sky = scene.sky;
  sky.noise_m = 0;
  sky.receiver_clock_s +=
      scene.drift * k * scene.step_s + (jumped ? scene.code_jump_s : 0);
  Epoch epoch = invented_epoch(t_s, sky);
  const double phases_behind_m =
      jumped ? kSpeedOfLightMps * (scene.code_jump_s - scene.phase_jump_s) : 0;
  const Mat3 enu = enu_R_ecef(to_geodetic(sky.antenna));
  std::mt19937 random(sky.seed * 104'729U + static_cast<unsigned>(t_s));
  std::normal_distribution<double> normal;
  for (const SatRows& rows : epoch.satellites) {
    const int number = rows.sat.number;
    const Ecef satellite_m = InventedOrbits::turned(
        InventedOrbits::inertial(number, t_s), kTurnRadPerS * t_s);
    const double elevation_rad =
        azimuth_elevation(enu, satellite_m - sky.antenna).elevation_rad;
    const double low = 1 / std::sin(elevation_rad);
    const double air_m = scene.extra_zenith_m * low;
    double cycles[2] = {1000.0 * number + 17, 900.0 * number - 5};
    for (const Slip& slip : scene.slips) {
      if (slip.sat == rows.sat && k >= slip.epoch) {
        cycles[0] += slip.first_cyc;
        cycles[1] += slip.second_cyc;
      }
    }
    for (std::uint32_t i = 0; i < 2; ++i) {
      Observation& o = epoch.observations[rows.first + i];
      const double wave_m = i == 0 ? kFirstM : kSecondM;
      const double delay_m = ionosphere_m(elevation_rad, t_s) * wave_m *
                             wave_m / (kFirstM * kFirstM);
      const double range_m = o.code_m + air_m;
      o.code_m = range_m + delay_m + scene.code_noise_m * low * normal(random);
      o.phase_cyc = (range_m - phases_behind_m - delay_m +
                     scene.phase_noise_m * low * normal(random)) /
                        wave_m +
                    cycles[i];
    }
  }
  return epoch;
}

// Without what the invented signal does not have.
inline PppOptions scene_options() {
  PppOptions options;
  options.without = {Term::kShapiro,
                     Term::kWindUp,
                     Term::kSolidTide,
                     Term::kOceanLoading,
                     Term::kPoleTide};
  return options;
}

// Epochs first, first + every … below last, appended.
inline void observe(const Scene& scene,
                    int first,
                    int last,
                    PppSession& session) {
  const SceneOrbits orbits;
  Counts counts;
  for (int k = first; k < last; ++k) {
    collect(scene_epoch(scene, k), orbits, scene_options(), session, counts);
  }
  session.interval_s = usual_interval_s(session);
}

// Rows with their models about the true place, or so far from it.
inline void compute(const Scene& scene,
                    PppSession& session,
                    const Ecef& off_m = {}) {
  Counts counts;
  session.reference = scene.sky.antenna + off_m;
  compute_rows(SceneOrbits(), scene_options(), session, counts);
}

inline PppSession modelled(const Scene& scene, int epochs) {
  PppSession session;
  observe(scene, 0, epochs, session);
  compute(scene, session);
  return session;
}

// A satellite that is above this elevation for ten epochs on both sides of k.
inline SatId satellite_above(const PppSession& session,
                             std::size_t k,
                             double least_rad,
                             double most_rad = 2) {
  for (int number = 1; number <= 24; ++number) {
    int epochs = 0;
    for (std::size_t j = k - 10; j <= k + 10; ++j) {
      for (const PppRow& r : session.rows_of(session.epochs[j])) {
        epochs += r.sat == gps(number) && r.modelled() &&
                          r.elevation_rad > static_cast<float>(least_rad) &&
                          r.elevation_rad < static_cast<float>(most_rad)
                      ? 1
                      : 0;
      }
    }
    if (epochs == 21) {
      return gps(number);
    }
  }
  return {};
}

}  // namespace stillpoint::solve::test
