// What is doubtful about a phase solution, each with the size it may have.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "stillpoint/datum/frames.h"
#include "stillpoint/datum/national_frames.h"
#include "stillpoint/math/robust.h"
#include "stillpoint/models/ocean_loading.h"
#include "stillpoint/solve/ppp_state.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::solve {
namespace {

// A metre per second of range rate turns a clock of a millisecond into a
// millimetre; named from there on.
constexpr double kClockToNameS = 1e-3;
constexpr double kLargestRangeRateMps = 800;
// What the pole tide is worth at most, up: 33 mm times half an arc second.
constexpr double kPoleTideM = 0.015;
// Heights with calibrations of the other generation: measured on a day of GPS
// and Galileo (docs/validation.md).
constexpr double kFrameMixedM = 0.02;
constexpr double kHeaderToNameM = 0.1;
constexpr double kEdgeToNameS = 300;

void put(Solution& out,
         const char* code,
         std::string what,
         std::optional<double> size_m = std::nullopt) {
  out.warnings.push_back({code, std::move(what), size_m});
}

std::string names(const std::vector<SatId>& satellites) {
  std::string text;
  for (const SatId sat : satellites) {
    text += text.empty() ? "" : " ";
    text += sat.text();
  }
  return text;
}

// Realisation that a calibration's model name belongs to: "IGS20_2335" and
// "igs14_2108" start with the name of the frame it was made for.
std::string realisation_of(const std::string& model) {
  std::string text = model.substr(0, 5);
  std::transform(text.begin(), text.end(), text.begin(), [](char c) {
    return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  });
  if (text == "igs20" || text == "igs14" || text == "igs08" ||
      text == "igs05") {
    const FrameLabel frame = frame_of_label(text);
    return frame.known ? frame.aligned_to : std::string();
  }
  return {};
}

void warn_frame(const PppSolver::State& s, Solution& out) {
  const std::string label = s.orbits->frame_label();
  const FrameLabel frame = frame_of_label(label);
  if (!frame.known) {
    put(out,
        "frame_unknown",
        fmt::format("the orbits call their frame '{}', which is not in the "
                    "table of docs/frames.md; it is repeated as it stands",
                    label));
    return;
  }
  for (const std::string& model : s.models.calibration_models) {
    const std::string aligned = realisation_of(model);
    if (!aligned.empty() && aligned != frame.aligned_to) {
      put(out,
          "frame_mixed",
          fmt::format("antenna calibrations '{}' belong to {}, the orbits are "
                      "in {} ({}): the scale, and with it the height, may be "
                      "off",
                      model,
                      aligned,
                      label,
                      frame.aligned_to),
          kFrameMixedM);
      return;
    }
  }
}

void warn_antennas(const PppSolver::State& s, Solution& out) {
  const PppModelLog& m = s.models;
  const auto sigma =
      calibration_sigma_enu_m(m.receiver, s.options.elevation_mask_rad);
  const std::string type = s.options.antenna_type.empty()
                               ? std::string("of no stated type")
                               : "'" + s.options.antenna_type + "'";
  if (m.receiver == Calibration::kNone) {
    put(out,
        "antenna_uncalibrated",
        fmt::format("no calibration of the receiver's antenna {} is at hand: "
                    "the height stands mostly too high by its phase centre's "
                    "height above the reference point, 5 to 16 cm; give an "
                    "antenna file that has it",
                    type),
        sigma[2]);
  } else if (m.receiver == Calibration::kOffset) {
    put(out,
        "antenna_offset_only",
        m.receiver_stand_in.empty()
            ? fmt::format("of the receiver's antenna {} only the offset is at "
                          "hand, not the pattern: the height depends on the "
                          "elevation mask",
                          type)
            : fmt::format("the receiver's antenna {} is not calibrated in the "
                          "files at hand; the offset of '{}' stood in",
                          type,
                          m.receiver_stand_in),
        sigma[2]);
  }
  if (m.other_bands) {
    put(out,
        "antenna_bands_missing",
        "the receiver's antenna is not calibrated for every carrier in use; "
        "the nearest calibrated one stood in",
        0.01);
  }
  if (m.without_antenna > 0) {
    put(out,
        "satellite_antenna_offset_missing",
        "no phase-centre offset is at hand for any satellite; heights are off "
        "by centimetres: give an antenna file with --antennas or --offsets",
        0.05);
  }
  if (!m.offset_only.empty()) {
    put(out,
        "satellite_pattern_missing",
        "only offsets, no patterns, of the antennas of " + names(m.offset_only),
        0.01);
  }
  if (!m.other_day.empty()) {
    put(out,
        "offsets_of_another_day",
        fmt::format(
            "the antenna offsets of {} are of another day, up to {:.0f} "
            "days away: a number may have been another satellite's",
            names(m.other_day),
            m.days_off));
  }
  std::vector<SatId> left_out;
  for (const auto& [sat, reasons] : out.counts.excluded) {
    if (reasons[static_cast<std::size_t>(Exclusion::kNoAntenna)] > 0) {
      left_out.push_back(sat);
    }
  }
  if (!left_out.empty()) {
    put(out,
        "satellites_without_antenna",
        "left out, because the antenna files do not have them: " +
            names(left_out));
  }
}

void warn_displacements(const PppSolver::State& s, Solution& out) {
  const TermSet& without = s.options.without;
  if (s.options.aids.loading == nullptr && !without.has(Term::kOceanLoading)) {
    put(out,
        "loading_missing",
        "no ocean loading coefficients of this station: near a coast the "
        "ground moves by up to some centimetres within a day, inland by some "
        "millimetres; give a BLQ file with --loading",
        models::usual_loading_m(to_geodetic(out.position->ecef)));
  }
  if (s.models.earth_missing) {
    put(out,
        "earth_orientation_missing",
        s.options.aids.earth == nullptr
            ? "no Earth orientation: the pole tide was left out; give a file "
              "with --earth"
            : "the Earth orientation file does not cover the data: the pole "
              "tide was left out",
        kPoleTideM);
  }
}

// Data that no product covers, at an end or in the middle, and systems that the
// products do not have.
void warn_coverage(const PppSolver::State& s, Solution& out) {
  const auto& epochs = s.session.epochs;
  const PppAids& aids = s.options.aids;
  const auto beyond_s = [](const std::optional<GnssTime>& a, GnssTime b) {
    return a ? (*a - b).s : 0;
  };
  const double before_s =
      std::max({(*out.first - epochs.front().time).s,
                beyond_s(aids.orbits_first, epochs.front().time),
                beyond_s(aids.clocks_first, epochs.front().time)});
  const GnssTime end = epochs.back().time;
  const auto short_s = [&](const std::optional<GnssTime>& last) {
    return last ? (end - *last).s : 0;
  };
  const double after_s = std::max({(end - *out.last).s,
                                   short_s(aids.orbits_last),
                                   short_s(aids.clocks_last)});
  if (std::max(before_s, after_s) >= kEdgeToNameS) {
    const bool begin = before_s > after_s;
    put(out,
        "products_end_early",
        fmt::format(
            "orbits or clocks do not cover {:.0f} min at the {} of the "
            "data: what lies outside was not used or counts for little. "
            "Give the {} day's files as well",
            std::max(before_s, after_s) / 60,
            begin ? "begin" : "end",
            begin ? "previous" : "next"));
  }
  int inside = 0;
  for (const PppEpoch& epoch : epochs) {
    const auto rows = s.session.rows_of(epoch);
    inside += epoch.time > *out.first && epoch.time < *out.last &&
                      !rows.empty() &&
                      std::none_of(rows.begin(),
                                   rows.end(),
                                   [](const PppRow& r) { return r.modelled(); })
                  ? 1
                  : 0;
  }
  if (inside * s.session.interval_s >= kEdgeToNameS) {
    put(out,
        "epochs_without_orbits",
        fmt::format("{} epochs in the middle of the data were not used: the "
                    "products have no orbits or clocks for them",
                    inside));
  }
  std::array<int, kSystemCount> seen{}, used{};
  for (const PppRow& r : s.session.rows) {
    ++seen[static_cast<std::size_t>(r.sat.system)];
    used[static_cast<std::size_t>(r.sat.system)] += r.modelled() ? 1 : 0;
  }
  for (const System system : kSystems) {
    const auto index = static_cast<std::size_t>(system);
    if (seen[index] > 0 && used[index] == 0) {
      put(out,
          "system_not_used",
          fmt::format(
              "{} was observed and could not be used: the products have "
              "no orbits, clocks or antenna offsets of it",
              system_name(system)));
    }
  }
}

void warn_signals(const PppSolver::State& s, Solution& out) {
  if (s.models.unknown_biases > 0) {
    put(out,
        "code_bias_unknown",
        fmt::format("{} codes are of signals whose bias the products do not "
                    "state",
                    s.models.unknown_biases),
        0.02);
  }
  std::vector<double> clocks;
  for (std::size_t k = 0; k < s.session.epochs.size(); k += 20) {
    std::vector<double> codes;
    for (const PppRow& r : s.session.rows_of(s.session.epochs[k])) {
      if (r.code_used()) {
        codes.push_back(r.code_m);
      }
    }
    if (codes.size() >= 4) {
      clocks.push_back(math::median_in_place(codes) / kSpeedOfLightMps);
    }
  }
  const double clock_s = clocks.empty() ? 0 : math::median_in_place(clocks);
  if (std::abs(clock_s) > kClockToNameS) {
    put(out,
        "receiver_clock",
        fmt::format("the receiver's clock is {:.3f} ms off; observations were "
                    "taken at their true time (otherwise up to the stated "
                    "size)",
                    clock_s * 1e3),
        kLargestRangeRateMps * std::abs(clock_s));
  }
  if (s.stride > 1) {
    put(out,
        "thinned",
        fmt::format("every {}th epoch was used: the session is very long",
                    s.stride));
  }
}

void warn_header(const PppSolver::State& s, Solution& out) {
  const auto& header = s.options.header_position_m;
  if (!header || norm(*header) < 1) {
    return;
  }
  const Ecef marker = out.position->ecef;
  const double distance_m = norm(*header - marker);
  if (distance_m < kHeaderToNameM) {
    return;
  }
  const Enu offset = to_enu(*header, marker);
  std::string what = fmt::format(
      "the position that the file states lies {:.2f} m from the computed one "
      "(east {:+.2f}, north {:+.2f}, up {:+.2f} m); it was not used",
      distance_m,
      offset.e_m,
      offset.n_m,
      offset.u_m);
  const FrameLabel frame = frame_of_label(s.orbits->frame_label());
  const auto fit = national_frame_that_fits(
      *header, marker, frame.aligned_to, out.position->epoch);
  if (fit) {
    what += fmt::format(
        ". It agrees within {:.2f} m with {}: a national frame, never to be "
        "taken for one in the frame of the orbits",
        fit->distance_m,
        fit->name);
  } else if (distance_m < 1000) {
    what += ". It is a rough position";
  } else {
    what += ". It is wrong, or the file is of another station";
  }
  put(out, "header_position_differs", std::move(what), distance_m);
}

}  // namespace

void warn(const PppSolver::State& s, Solution& out) {
  if (s.arcs.jump) {
    put(out,
        "antenna_moved",
        fmt::format("the antenna moved between two epochs, at {}",
                    format_utc(s.arcs.jump->time)),
        s.arcs.jump->size_m);
  }
  warn_frame(s, out);
  warn_coverage(s, out);
  warn_antennas(s, out);
  warn_displacements(s, out);
  warn_signals(s, out);
  warn_header(s, out);
}

}  // namespace stillpoint::solve
