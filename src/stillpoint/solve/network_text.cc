// Sizes and remarks in the words of a network's `why`.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "stillpoint/datum/national_frames.h"
#include "stillpoint/solve/network_parts.h"

namespace stillpoint::solve {
namespace {

// How well a coordinate must fit a national frame to be called by its name;
// beyond two sigma of the place it is held against. National realisations
// differ by centimetres from the published parameters (docs/frames.md).
constexpr double kFrameFitM = 0.05, kFrameFitMostM = 0.3;
// From here on metres are easier to read than millimetres.
constexpr double kManyM = 10;

// A disagreement of this size is a mix-up, not an error of survey.
constexpr double kMixUpM = 100;

}  // namespace

std::string names_text(const std::vector<NetworkTie>& ties) {
  std::string text;
  for (std::size_t i = 0; i < ties.size(); ++i) {
    text += i == 0 ? "" : i + 1 == ties.size() ? " and " : ", ";
    text += ties[i].to;
  }
  return text;
}

std::string size_text(const Eigen::Vector3d& v_m, const Ecef& at) {
  const Enu enu =
      rotate(enu_R_ecef(to_geodetic(at)), {v_m.x(), v_m.y(), v_m.z()});
  const bool many = v_m.norm() >= kManyM;
  // Whole millimetres, or tenths of a metre; adding 0 takes the sign off a
  // zero.
  const auto shown = [many](double m) {
    return many ? std::round(m * 10) / 10 + 0.0 : std::round(m * 1e3) + 0.0;
  };
  return fmt::format(
      "{0:.{5}f} {1} (east {2:.{5}f}, north {3:.{5}f}, up "
      "{4:.{5}f})",
      shown(v_m.norm()),
      many ? "m" : "mm",
      shown(enu.e_m),
      shown(enu.n_m),
      shown(enu.u_m),
      many ? 1 : 0);
}

std::string national_remark(const NetworkCase& c,
                            std::size_t tie,
                            const Ecef& place_m,
                            double sigma_m) {
  if (c.frame->aligned_to.empty()) {
    return {};
  }
  const NetworkTie& t = (*c.ties)[tie];
  const auto fit = national_frame_that_fits(
      t.known_m,
      place_m,
      c.frame->aligned_to,
      c.frame->epoch,
      std::min(kFrameFitM + 2 * sigma_m, kFrameFitMostM));
  if (!fit) {
    return {};
  }
  return fmt::format(
      "the coordinate given for {} lies within {:.0f} mm of where {} would "
      "have it: it may be in that frame and not in {}",
      t.to,
      std::max(1.0, std::ceil(fit->distance_m * 1e3)),
      fit->name,
      c.frame->aligned_to);
}

std::string test_text(const NetworkCase& c) {
  // Coordinates of other stations give sums that nobody wants in full.
  constexpr double kInFull = 1e6;
  const std::string value = c.chi2 < kInFull ? fmt::format("{:.1f}", c.chi2)
                                             : fmt::format("{:.1e}", c.chi2);
  return fmt::format(
      "chi-square {}, at most {:.1f} in 99.9 % of sound networks",
      value,
      c.limit);
}

std::string conflict_text(const NetworkCase& c, std::size_t first) {
  const auto& ties = *c.ties;
  const KnownShift& s = c.shifts[first];
  std::string text = fmt::format(
      "the known coordinates of {} disagree ({}): that of {} lies {} from "
      "where {} put{} it",
      names_text(ties),
      test_text(c),
      ties[first].to,
      size_text(s.shift_m, ties[first].known_m),
      ties.size() == 2 ? ties[1 - first].to
                       : fmt::format("the other {}", ties.size() - 1),
      ties.size() == 2 ? "s" : "");
  if (s.shift_m.norm() > kMixUpM) {
    text += "; so much points to coordinates given for the wrong stations";
  }
  return text;
}

}  // namespace stillpoint::solve
