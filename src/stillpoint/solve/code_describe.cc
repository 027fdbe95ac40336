// What a solved code session has to tell besides the position: how each
// satellite fitted, what was left out and why, what to be warned of.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "stillpoint/datum/frames.h"
#include "stillpoint/solve/code_state.h"

namespace stillpoint::solve {
namespace {

SatId sat_of(int index) {
  return {static_cast<System>(index / 100),
          static_cast<std::uint8_t>(index % 100)};
}

struct Sums {
  int used = 0, rejected = 0;
  double sum = 0, squares = 0;
};

void tell_fits(const CodeSolver::State& s, Solution& solution) {
  std::vector<Sums> by_sat(SatId::kIndexCount);
  std::array<Sums, kSystemCount> by_system{};
  Sums all;
  EpochResiduals residuals;
  for (const CodeEpoch& epoch : s.session.epochs) {
    const auto rows = s.session.rows_of(epoch);
    epoch_residuals(
        s.session, rows, s.model, s.adjustment->estimate, residuals);
    bool used = false;
    for (std::size_t i = 0; i < rows.size(); ++i) {
      const CodeRow& row = rows[i];
      Sums& sat = by_sat[row.sat_index];
      const auto system = static_cast<std::size_t>(s.session.system_of(row));
      if (row.rejected) {
        ++sat.rejected;
        continue;
      }
      // With the satellite's constant: how well the corrections do by
      // themselves.
      const double v =
          residuals.v_m[i] + s.adjustment->estimate.constant_m[row.sat_index];
      for (Sums* sums : {&sat, &by_system[system], &all}) {
        ++sums->used;
        sums->sum += v;
        sums->squares += v * v;
      }
      used = true;
    }
    solution.counts.epochs += used ? 1 : 0;
  }
  for (std::size_t i = 0; i < by_sat.size(); ++i) {
    const Sums& sums = by_sat[i];
    if (sums.used + sums.rejected == 0) {
      continue;
    }
    const SatId sat = sat_of(static_cast<int>(i));
    const double n = std::max(1, sums.used);
    solution.satellites.push_back({.sat = sat,
                                   .observations = sums.used,
                                   .rejected = sums.rejected,
                                   .mean_m = sums.sum / n,
                                   .rms_m = std::sqrt(sums.squares / n)});
    if (sums.used > 0) {
      ++solution.counts.satellites[sat.system];
    }
    if (sums.rejected > 0) {
      solution.counts
          .excluded[sat][static_cast<std::size_t>(Exclusion::kOutlier)] +=
          sums.rejected;
    }
  }
  for (const System system : kSystems) {
    const auto i = static_cast<std::size_t>(system);
    if (by_system[i].used > 0) {
      solution.systems.push_back(
          {system,
           s.model.noise_factor[i],
           std::sqrt(by_system[i].squares / by_system[i].used)});
    }
  }
  solution.counts.observations = all.used;
  solution.code_rms_m = std::sqrt(all.squares / std::max(1, all.used));
}

void warn_header(const CodeSolver::State& s, Solution& solution) {
  if (!s.options.header_position_m || norm(*s.options.header_position_m) < 1) {
    return;
  }
  const Ecef marker = solution.position->ecef;
  const Enu offset = to_enu(*s.options.header_position_m, marker);
  const double distance_m = norm(*s.options.header_position_m - marker);
  const auto& sigma = solution.sigma_enu_m;
  const bool significant = std::abs(offset.e_m) > 2 * sigma[0] ||
                           std::abs(offset.n_m) > 2 * sigma[1] ||
                           std::abs(offset.u_m) > 2 * sigma[2];
  if (distance_m < 0.1 || !significant) {
    return;
  }
  std::string what = fmt::format(
      "the position that the file states lies {:.2f} m from the computed one "
      "(east {:+.2f}, north {:+.2f}, up {:+.2f} m); it was not used",
      distance_m,
      offset.e_m,
      offset.n_m,
      offset.u_m);
  if (distance_m < 5) {
    what +=
        ". A difference of this size is typical of a coordinate in a national "
        "frame, fixed to its plate years ago; never take it for one in the "
        "frame of the orbits";
  } else if (distance_m < 1000) {
    what += ". It is a rough position";
  } else {
    what += ". It is wrong, or the file is of another station";
  }
  solution.warnings.push_back(
      {"header_position_differs", std::move(what), distance_m});
}

void warn_frame(const CodeSolver::State& s, Solution& solution) {
  const std::string label = s.orbits->frame_label();
  if (!frame_of_label(label).known) {
    solution.warnings.push_back(
        {"frame_unknown",
         fmt::format("the orbits call their frame '{}', which is not in the "
                     "table of docs/frames.md; it is repeated as it stands",
                     label),
         std::nullopt});
  }
}

void warn_products(const CodeSolver::State& s, Solution& solution) {
  if (solution.position->frame.name == "WGS84") {
    solution.warnings.push_back(
        {"frame_broadcast",
         "broadcast orbits: the frame is WGS84 as the satellites realise it, "
         "within some decimetres of the ITRF; precise orbits name a frame",
         0.3});
  }
  if (s.log.empty_epochs > 0) {
    solution.warnings.push_back(
        {"epochs_without_orbits",
         fmt::format("{} epochs were left out: no satellite had an orbit and a "
                     "clock then. Where the orbit files end before the "
                     "observations do, give the next day's file as well",
                     s.log.empty_epochs),
         std::nullopt});
  }
  if (s.log.centre_of_mass > 0) {
    solution.warnings.push_back(
        {"satellite_antenna_offset_missing",
         "the orbits give the satellites' centres of mass and their antenna "
         "offsets are not applied by this method; a constant part goes into "
         "the receiver clock",
         0.2});
  }
  if (s.log.unknown_biases > 0) {
    solution.warnings.push_back(
        {"code_bias_unknown",
         fmt::format("{} code ranges are of signals whose delay behind the "
                     "satellite's clock is not stated; their weight was "
                     "lowered",
                     s.log.unknown_biases),
         0.4});
  }
  if (s.log.one_frequency > 0) {
    solution.warnings.push_back(
        {"one_frequency",
         fmt::format("{} observations have one frequency only: the ionosphere "
                     "was modelled, not measured",
                     s.log.one_frequency),
         std::nullopt});
  }
  if (s.log.without_ionosphere_model > 0) {
    solution.warnings.push_back(
        {"ionosphere_model_missing",
         fmt::format("{} one-frequency observations went without any "
                     "ionosphere model; give a navigation file whose header "
                     "has its parameters",
                     s.log.without_ionosphere_model),
         5.0});
  }
}

void warn_antenna(const CodeSolver::State& s, Solution& solution) {
  const auto antenna = uncalibrated_sigma_enu_m(s.options.elevation_mask_rad);
  solution.warnings.push_back(
      {"antenna_uncalibrated",
       "the phase centre of the receiver's antenna was not modelled; the "
       "height stands mostly too high by its offset above the reference point",
       antenna[2]});
  if (s.stride > 1) {
    solution.warnings.push_back(
        {"thinned",
         fmt::format("every {}th epoch was used: the session is very long",
                     s.stride),
         std::nullopt});
  }
}

}  // namespace

void describe(const CodeSolver::State& s, Solution& solution) {
  solution.counts = s.counts;
  solution.counts.rejected = s.adjustment->rejected;
  tell_fits(s, solution);
  if (s.atmosphere.ready()) {
    solution.zenith_delay_m =
        s.atmosphere.troposphere().zenith_hydrostatic_m() +
        s.atmosphere.troposphere().zenith_wet_m() + s.adjustment->estimate.x[3];
  }
  warn_frame(s, solution);
  warn_products(s, solution);
  warn_antenna(s, solution);
  warn_header(s, solution);
}

}  // namespace stillpoint::solve
