// For the tests of the tie: an invented sky over two ends, each with a clock,
// an air and signals of its own, and sessions made from it.
#pragma once

#include <cmath>
#include <numbers>
#include <random>
#include <vector>

#include "stillpoint/solve/synthetic_sky.h"
#include "stillpoint/solve/tie_arcs.h"
#include "stillpoint/solve/tie_collect.h"
#include "stillpoint/solve/tie_geometry.h"
#include "stillpoint/solve/tie_solver.h"

namespace stillpoint::solve::test {

// 24 satellites of GPS, GLONASS and Galileo each, on circles.
class TieOrbits final : public OrbitSource {
 public:
  double last_s = 1e9;
  std::string label = "IGS20";

  // Number on the circles of InventedOrbits; 0: none.
  static int circle(SatId sat) {
    const bool known = sat.number >= 1 && sat.number <= 24;
    switch (known ? sat.system : System::kNavic) {
      case System::kGps:
        return sat.number;
      case System::kGlonass:
        return 24 + sat.number;
      case System::kGalileo:
        return 48 + sat.number;
      default:
        return 0;
    }
  }
  static double clock_s(SatId sat) { return 1e-5 * (sat.number - 12); }

  [[nodiscard]] tl::expected<SatelliteState, NoState> state(
      SatId sat, GnssTime t) const override {
    const int number = circle(sat);
    if (number == 0) {
      return tl::unexpected(NoState::kUnknownSatellite);
    }
    const double s = InventedOrbits::seconds(t);
    if (s > last_s) {
      return tl::unexpected(NoState::kOutsideValidity);
    }
    const auto at = [&](double when_s) {
      return InventedOrbits::turned(InventedOrbits::inertial(number, when_s),
                                    kTurnRadPerS * when_s);
    };
    SatelliteState state;
    state.position_m = at(s);
    state.velocity_mps = 5.0 * (at(s + 0.1) - at(s - 0.1));
    state.clock_s = clock_s(sat);
    state.range_sigma_m = 0.03;
    state.issue = -1;
    return state;
  }
  [[nodiscard]] std::optional<double> group_delay_s(SatId,
                                                    GnssTime,
                                                    SignalCode) const override {
    return 0.0;
  }
  [[nodiscard]] std::optional<int> glonass_channel(SatId sat) const override {
    return sat.number % 14 - 7;
  }
  [[nodiscard]] std::string frame_label() const override { return label; }
};

struct TieSignal {
  System system = System::kGps;
  SignalCode code;
};

// From epoch `epoch` on, cycles more in the receiver here, by place of the
// signal among those of the system.
struct TieSlip {
  SatId sat;
  int epoch = 0;
  double first_cyc = 0, second_cyc = 0;
};

// A receiver and its clock.
struct TieReceiver {
  std::vector<TieSignal> signals{{System::kGps, {'1', 'C'}},
                                 {System::kGps, {'2', 'W'}}};
  double clock_s = 0, drift = 0;
  // From this epoch on the clock is off by so much more, in the codes (and the
  // tags), and in the phases.
  int jump_epoch = 1 << 30;
  double code_jump_s = 0, phase_jump_s = 0;
  // GLONASS: what neighbouring channels are apart by.
  double channel_phase_m = 0, channel_code_m = 0;
};

struct TieScene {
  Ecef there = invented_antenna();
  Enu baseline{30, -40, 5};  // from there to here, in the horizon there
  TieReceiver here_receiver{.clock_s = 3e-4}, there_receiver{.clock_s = -2e-4};
  double start_s = 36'000, step_s = 30;
  double phase_noise_m = 0, code_noise_m = 0;  // one end, zenith
  double extra_zenith_m = 0;                   // of wet air, here
  // Ionosphere here beyond that there: amplitude at the zenith on GPS band 1,
  // and period; another phase for every satellite.
  double wave_m = 0, wave_s = 3600;
  double least_elevation_rad = 0.12;
  unsigned seed = 1;
  std::vector<TieSlip> slips{};

  [[nodiscard]] Ecef here() const { return from_enu(baseline, there); }
};

// Two bands of another system at both ends.
inline void add_signals(TieScene& scene,
                        System system,
                        SignalCode first,
                        SignalCode second) {
  for (TieReceiver* r : {&scene.here_receiver, &scene.there_receiver}) {
    r->signals.push_back({system, first});
    r->signals.push_back({system, second});
  }
}
inline void add_glonass(TieScene& scene) {
  add_signals(scene, System::kGlonass, {'1', 'C'}, {'2', 'C'});
}
inline void add_galileo(TieScene& scene) {
  add_signals(scene, System::kGalileo, {'1', 'C'}, {'5', 'Q'});
}

inline SatId sat_of(System system, int number) {
  return {system, static_cast<std::uint8_t>(number)};
}

// Whole cycles that a receiver's phase begins at.
inline double whole_cycles(SatId sat, std::size_t signal, bool here) {
  return (here ? 1000.0 : 700.0) * sat.number + 37 * sat.index() +
         (here ? 11.0 : -5.0) * static_cast<double>(signal);
}

inline Epoch tie_epoch(const TieScene& scene, int k, bool is_here) {
  const TieReceiver& r = is_here ? scene.here_receiver : scene.there_receiver;
  const Ecef antenna = is_here ? scene.here() : scene.there;
  const double t_s = scene.start_s + k * scene.step_s;
  const bool jumped = k >= r.jump_epoch;
  const double since_s = k * scene.step_s;
  const double code_clock_s =
      r.clock_s + r.drift * since_s + (jumped ? r.code_jump_s : 0);
  const double phase_clock_s =
      r.clock_s + r.drift * since_s + (jumped ? r.phase_jump_s : 0);
  Epoch epoch;
  epoch.time = GnssTime::from_gps_week(2300, t_s) + Duration{code_clock_s};
  const Geodetic place = to_geodetic(antenna);
  const Mat3 enu = enu_R_ecef(place);
  const auto air = models::TroposphereModel::at(place, epoch.time);
  std::mt19937 random(scene.seed * 104'729U + (is_here ? 7919U : 0U) +
                      static_cast<unsigned>(t_s));
  std::normal_distribution<double> normal;
  const Ecef receiver = InventedOrbits::turned(antenna, -kTurnRadPerS * t_s);
  for (const System system :
       {System::kGps, System::kGlonass, System::kGalileo}) {
    for (int number = 1; number <= 24; ++number) {
      const SatId sat = sat_of(system, number);
      double flight_s = 0.07;
      Ecef sent;
      for (int i = 0; i < 6; ++i) {
        sent = InventedOrbits::inertial(TieOrbits::circle(sat), t_s - flight_s);
        flight_s = norm(sent - receiver) / kSpeedOfLightMps;
      }
      const Ecef line =
          InventedOrbits::turned(sent - receiver, kTurnRadPerS * t_s);
      const double elevation_rad = azimuth_elevation(enu, line).elevation_rad;
      if (elevation_rad < scene.least_elevation_rad) {
        continue;
      }
      const double low = 1 / std::sin(elevation_rad);
      double common_m =
          kSpeedOfLightMps * (flight_s - TieOrbits::clock_s(sat)) +
          air->slant_m(elevation_rad);
      double delay_m = 0;
      if (is_here) {
        common_m += scene.extra_zenith_m * air->mapping(elevation_rad).wet;
        const double sine = 6371.0 / 6821.0 * std::cos(elevation_rad);
        delay_m = scene.wave_m / std::sqrt(1 - sine * sine) *
                  std::sin(2 * std::numbers::pi * t_s / scene.wave_s +
                           1.3 * sat.index());
      }
      SatRows rows{
          .sat = sat,
          .count = 0,
          .first = static_cast<std::uint32_t>(epoch.observations.size())};
      for (const TieSignal& signal : r.signals) {
        if (signal.system != system) {
          continue;
        }
        const int channel = number % 14 - 7;
        const double wave_m =
            kSpeedOfLightMps / *frequency_hz(system, signal.code.band, channel);
        const double first_m = kSpeedOfLightMps / 1575.42e6;
        const double band_m = delay_m * wave_m * wave_m / (first_m * first_m);
        const double slope = system == System::kGlonass ? channel : 0;
        double cycles = whole_cycles(sat, rows.count, is_here);
        for (const TieSlip& slip : scene.slips) {
          if (is_here && slip.sat == sat && k >= slip.epoch) {
            cycles += rows.count == 0 ? slip.first_cyc : slip.second_cyc;
          }
        }
        Observation o;
        o.signal = signal.code;
        o.cn0_dbhz = 45;
        o.code_m = common_m + kSpeedOfLightMps * code_clock_s + band_m +
                   slope * r.channel_code_m +
                   scene.code_noise_m * low * normal(random);
        o.phase_cyc = (common_m + kSpeedOfLightMps * phase_clock_s - band_m +
                       slope * r.channel_phase_m +
                       scene.phase_noise_m * low * normal(random)) /
                          wave_m +
                      cycles;
        epoch.observations.push_back(o);
        ++rows.count;
      }
      if (rows.count > 0) {
        epoch.satellites.push_back(rows);
      }
    }
  }
  return epoch;
}

// Without what the invented signal does not have.
inline TieOptions tie_options(const TieScene& scene) {
  TieOptions options;
  options.without = {Term::kShapiro,
                     Term::kWindUp,
                     Term::kSolidTide,
                     Term::kOceanLoading,
                     Term::kPoleTide};
  options.here.name = "LHOL";
  options.there.name = "LMST";
  options.here.antenna_type = options.there.antenna_type =
      "SPDEMO-A1       NONE";
  options.here.receiver_type = options.there.receiver_type = "SPDEMO-R1";
  options.there_marker_m = scene.there;
  return options;
}

inline TieSession collected(const TieScene& scene,
                            const TieOptions& options,
                            int epochs) {
  const TieOrbits orbits;
  TieSession session;
  Counts counts;
  for (int k = 0; k < epochs; ++k) {
    collect_tie(tie_epoch(scene, k, true),
                tie_epoch(scene, k, false),
                orbits,
                options,
                session,
                counts);
  }
  session.interval_s = usual_interval_s(session);
  return session;
}

// With models about the true place, or so far from it, and no arcs yet.
inline TieSession modelled_tie(const TieScene& scene,
                               int epochs,
                               const Ecef& off_m = {}) {
  const TieOptions options = tie_options(scene);
  TieSession session = collected(scene, options, epochs);
  session.reference_m = scene.here() + off_m;
  Counts counts;
  compute_tie(TieOrbits(), options, session, counts);
  return session;
}

// With arcs, ready for an adjustment; slips are the number found.
inline TieSession ready_tie(const TieScene& scene,
                            int epochs,
                            const Ecef& off_m = {}) {
  TieSession session = modelled_tie(scene, epochs, off_m);
  find_tie_arcs(session, norm(session.reference_m - scene.there));
  finish_tie_arcs(session);
  return session;
}

// A satellite of GPS modelled at all epochs from .. to, within the elevations.
inline SatId steady_satellite(const TieSession& session,
                              std::size_t from,
                              std::size_t to,
                              double least_rad,
                              double most_rad = 2) {
  for (int number = 1; number <= 24; ++number) {
    std::size_t epochs = 0;
    for (std::size_t k = from; k <= to; ++k) {
      for (const TieSight& s : session.sights_of(session.epochs[k])) {
        epochs += s.sat == sat_of(System::kGps, number) && s.modelled &&
                          s.elevation_rad > static_cast<float>(least_rad) &&
                          s.elevation_rad < static_cast<float>(most_rad)
                      ? 1U
                      : 0U;
      }
    }
    if (epochs == to - from + 1) {
      return sat_of(System::kGps, number);
    }
  }
  return {};
}

}  // namespace stillpoint::solve::test
