// Whether a tie may be relied on, and what is doubtful about it.
#include <fmt/format.h>

#include <algorithm>

#include "stillpoint/solve/tie_state.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::solve {
namespace {

constexpr double kUsableSigmaM = 0.15;

std::string move_words(const TieMove& move) {
  return fmt::format(
      "the parts of the session disagree: from {} on the vector differs from "
      "that before by east {:+.1f}, north {:+.1f}, up {:+.1f} mm, {:.0f} "
      "sigmas; one of the antennas was moved, or one part is wrong",
      format_utc(move.from),
      move.off_m.x() * 1000,
      move.off_m.y() * 1000,
      move.off_m.z() * 1000,
      move.sigmas);
}

}  // namespace

void judge(const TieSolver::State& s, TieAnswer& out) {
  Solution& solution = out.solution;
  const auto& sigma = solution.sigma_without_calibration_enu_m;
  const double worst = *std::max_element(sigma.begin(), sigma.end());
  const double span_s =
      (*solution.last - *solution.first).s + s.session.step_s();
  const std::string integers =
      s.fixed ? fmt::format("{} of {} ambiguities held as integers",
                            solution.ambiguities_fixed,
                            solution.ambiguities)
              : fmt::format("no integers: {}", s.why_float);
  const std::string size =
      fmt::format("worst component ±{:.0f} mm after {:.0f} min; {}",
                  std::max(1.0, worst * 1000),
                  span_s / 60,
                  integers);
  solution.status = SolveStatus::kNotConverged;
  if (worst > kUsableSigmaM) {
    solution.why =
        "too little data to tell ambiguities and position apart: " + size;
  } else if (s.move) {
    solution.why =
        move_words(*s.move) + "; --start and --end take a part of it";
  } else if (!s.settled) {
    solution.why = "the choice of outliers did not settle; " + size;
  } else {
    solution.status = SolveStatus::kConverged;
    solution.why = size;
  }
}

std::string why_no_vector(const TieSolver::State& s) {
  if (s.session.epochs.empty()) {
    return "the two ends have no epoch in common";
  }
  if (s.session.rows.empty()) {
    return "no satellite was tracked by both ends with signals that may be "
           "differenced";
  }
  if (std::none_of(s.session.sights.begin(),
                   s.session.sights.end(),
                   [](const TieSight& sight) { return sight.modelled; })) {
    return "no satellite that both ends tracked has an orbit and stands above "
           "the elevation mask";
  }
  return "the common satellites do not determine a position";
}

void warn(const TieSolver::State& s, TieAnswer& out) {
  auto& warnings = out.solution.warnings;
  if (s.move) {
    warnings.push_back(
        {"antenna_moved", move_words(*s.move), s.move->off_m.norm()});
  }
  const auto antenna = [&](Calibration level,
                           const TieEnd& end,
                           const std::string& stand_in,
                           const char* which) {
    if (level == Calibration::kFull) {
      return;
    }
    const std::string type =
        end.antenna_type.empty() ? "of an unknown type" : end.antenna_type;
    warnings.push_back(
        {level == Calibration::kNone ? "antenna_unknown"
                                     : "antenna_offset_only",
         fmt::format("{} antenna {} at {}: {}{}",
                     which,
                     type,
                     end.name,
                     level == Calibration::kNone
                         ? "no calibration is at hand; give --antennas or "
                           "--offsets"
                         : "only the offset of its phase centre is at hand",
                     stand_in.empty() ? "" : ", that of " + stand_in),
         std::nullopt});
  };
  const bool same = s.options.here.antenna_type == s.options.there.antenna_type;
  if (!same || out.length_m > kTieFarM) {
    antenna(s.models.here, s.options.here, s.models.here_stand_in, "the");
    antenna(s.models.there, s.options.there, s.models.there_stand_in, "the");
  }
  if (s.models.other_bands) {
    warnings.push_back({"antenna_band_missing",
                        "an antenna's calibration lacks a band that was used; "
                        "a neighbouring band of GPS stood in",
                        std::nullopt});
  }
  if (s.released > 0) {
    warnings.push_back(
        {"integers_released",
         fmt::format("{} ambiguities disagreed with the integers for an hour "
                     "and more and were let go",
                     s.released),
         std::nullopt});
  }
  constexpr double kBroadcastFarM = 30'000;
  if (s.orbits->frame_label() == "WGS84" && out.length_m > kBroadcastFarM) {
    // A metre of orbit over 20,000 km of range.
    warnings.push_back(
        {"broadcast_orbits_far",
         "broadcast orbits are good for short ties; give --orbits for this one",
         1.0 * out.length_m / 2.5e7});
  }
}

}  // namespace stillpoint::solve
