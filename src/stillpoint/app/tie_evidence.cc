#include "stillpoint/app/tie_evidence.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <iterator>
#include <optional>
#include <string>
#include <utility>

#include "stillpoint/app/locate_session.h"
#include "stillpoint/datum/national_frames.h"

namespace stillpoint::app {
namespace {

using report::TieContext;
using report::TieReport;

const char* method_name(LocateMethod method, const solve::Solution& solution) {
  if (method == LocateMethod::kCode) {
    return "code";
  }
  return solution.fixed ? "ppp-fixed" : "ppp-float";
}

bool contradicts(const TieReport& tie,
                 const solve::KnownEvidence& own,
                 const Enu& offset) {
  constexpr double kSigmas = 4;
  const Mat3 axes = enu_R_ecef(to_geodetic(own.position_m));
  const Cov3 known = covariance_to_enu(axes, tie.moved.covariance_m2);
  const Cov3 measured = covariance_to_enu(axes, own.covariance_m2);
  const std::array<double, 3> parts{offset.e_m, offset.n_m, offset.u_m};
  for (std::size_t i = 0; i < 3; ++i) {
    const double variance = known[4 * i] + measured[4 * i];
    if (parts[i] * parts[i] > kSigmas * kSigmas * variance) {
      return true;
    }
  }
  return false;
}

std::optional<solve::Warning> compare(const TieReport& tie,
                                      const solve::KnownEvidence& own,
                                      const solve::NetworkFrame& frame) {
  constexpr double kLeastM = 0.3, kLeastOfUnknownFrameM = 5;
  const Ecef& known_m = tie.moved.position_m;
  const double distance_m = norm(known_m - own.position_m);
  const double least_m =
      frame.aligned_to.empty() ? kLeastOfUnknownFrameM : kLeastM;
  const Enu offset = to_enu(known_m, own.position_m);
  if (distance_m < least_m || !contradicts(tie, own, offset)) {
    return std::nullopt;
  }
  std::string what = fmt::format(
      "the known coordinate of {} lies {:.2f} m (east {:+.2f}, north {:+.2f}, "
      "up {:+.2f} m) from where its own observations put it ({}), more than "
      "four sigmas: whatever is wrong with it is wrong with the answer",
      report::name_of(tie),
      distance_m,
      offset.e_m,
      offset.n_m,
      offset.u_m,
      own.method);
  const auto fit = national_frame_that_fits(
      known_m, own.position_m, frame.aligned_to, frame.epoch);
  if (fit) {
    fmt::format_to(std::back_inserter(what),
                   ". It agrees within {:.2f} m with {}, a national frame",
                   fit->distance_m,
                   fit->name);
  }
  return solve::Warning{"known_position_differs", std::move(what), distance_m};
}

// A vector that was computed from the wrong place.
void doubt(double wrong_m, TieReport& tie) {
  // No frame is that far from another (from memory); ranges of satellites are
  // 20,000 km and more.
  constexpr double kGrossM = 100, kRangeM = 2e7, kLeastBentM = 0.005;
  solve::Solution& s = tie.answer.solution;
  const double bent_m = wrong_m * tie.answer.length_m / kRangeM;
  const double sigma_m =
      *std::max_element(s.sigma_enu_m.begin(), s.sigma_enu_m.end());
  if (wrong_m < kGrossM && bent_m < std::max(kLeastBentM, sigma_m)) {
    return;
  }
  // A bent vector turns with the satellites: its parts disagree.
  std::erase_if(s.warnings,
                [](const auto& w) { return w.code == "antenna_moved"; });
  s.status = solve::SolveStatus::kNotConverged;
  s.why = fmt::format(
      "the known coordinate of {} lies {:.0f} m from where its own "
      "observations put it, and bends the vector by about {:.0f} mm besides",
      report::name_of(tie),
      wrong_m,
      bent_m * 1000);
}

}  // namespace

Result<std::vector<solve::KnownEvidence>> gather_evidence(
    const TieArgs& args,
    const OrbitInputs& orbits,
    const TieContext& context,
    LocateMethod method) {
  std::vector<solve::KnownEvidence> out;
  std::size_t at = 0;
  for (std::size_t n = 0; n < context.ties.size(); ++n) {
    if (!report::has_vector(context.ties[n])) {
      continue;
    }
    LocateArgs alone = args.common;
    alone.observations = args.to[n].files;
    alone.method = method;
    auto session = locate_session(alone, orbits);
    if (!session) {
      return fail(std::move(session.error()));
    }
    const solve::Solution& s = session->solution;
    if (s.position && s.status == solve::SolveStatus::kConverged) {
      out.push_back({at,
                     s.position->ecef,
                     s.position->covariance_m2,
                     method_name(method, s)});
    }
    ++at;
  }
  return out;
}

void compare_known(const std::vector<solve::KnownEvidence>& evidence,
                   const solve::NetworkFrame& frame,
                   TieContext& context) {
  std::size_t at = 0;
  for (TieReport& tie : context.ties) {
    if (!report::has_vector(tie)) {
      continue;
    }
    for (const solve::KnownEvidence& own : evidence) {
      if (own.tie == at) {
        if (auto warning = compare(tie, own, frame)) {
          doubt(warning->size_m.value_or(0), tie);
          tie.moved.warnings.push_back(std::move(*warning));
        }
      }
    }
    ++at;
  }
}

}  // namespace stillpoint::app
