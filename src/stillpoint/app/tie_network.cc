#include "stillpoint/app/tie_network.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <utility>

#include "stillpoint/app/tie_evidence.h"
#include "stillpoint/core/text.h"
#include "stillpoint/datum/frames.h"
#include "stillpoint/solve/network.h"

namespace stillpoint::app {
namespace {

using report::TieContext;
using report::TieReport;

TieReport report_of(const TieTarget& target, TieSession& session) {
  TieReport out;
  // A recorded stream has no marker.
  const std::string_view marker = trim(session.there.marker_name);
  out.to = marker.empty() ? target.files.front() : std::string(marker);
  out.antenna_type = session.there.antenna_type;
  out.antenna_delta_enu_m = session.there.antenna_delta_enu_m;
  out.typed = target.typed;
  out.known = target.known;
  out.answer = std::move(session.answer);
  out.series = std::move(session.series);
  return out;
}

// Middle of the data of all ties that have a vector.
std::optional<GnssTime> middle(const TieContext& context) {
  std::optional<GnssTime> first, last;
  for (const TieReport& tie : context.ties) {
    const solve::Solution& s = tie.answer.solution;
    if (report::has_vector(tie) && s.first && s.last) {
      first = std::min(first.value_or(*s.first), *s.first);
      last = std::max(last.value_or(*s.last), *s.last);
    }
  }
  if (!first) {
    return std::nullopt;
  }
  return *first + Duration{(*last - *first).s / 2};
}

// The vector's covariance with each local axis shrunk to what is left of its
// sigma without the antennas' calibration.
Cov3 without_calibration(const TieReport& tie) {
  const solve::Solution& s = tie.answer.solution;
  const Mat3 axes = enu_R_ecef(to_geodetic(s.position->ecef));
  Cov3 enu = covariance_to_enu(axes, tie.answer.covariance_m2);
  std::array<double, 3> share{1, 1, 1};
  for (std::size_t i = 0; i < 3; ++i) {
    const double whole = s.sigma_enu_m[i];
    if (whole > 0) {
      share[i] = std::min(1.0, s.sigma_without_calibration_enu_m[i] / whole);
    }
  }
  for (std::size_t i = 0; i < 9; ++i) {
    enu[i] *= share[i / 3] * share[i % 3];
  }
  return covariance_to_ecef(axes, enu);
}

std::vector<solve::NetworkTie> network_ties(const TieContext& context,
                                            bool calibration) {
  std::vector<solve::NetworkTie> out;
  for (const TieReport& tie : context.ties) {
    if (report::has_vector(tie)) {
      out.push_back(
          {report::name_of(tie),
           tie.moved.position_m,
           tie.moved.covariance_m2,
           tie.answer.vector_m,
           calibration ? tie.answer.covariance_m2 : without_calibration(tie)});
    }
  }
  return out;
}

Status move_all(const TieArgs& args, TieContext& context) {
  for (std::size_t n = 0; n < context.ties.size(); ++n) {
    if (!report::has_vector(context.ties[n])) {
      continue;
    }
    auto moved =
        solve::move_known(args.to[n].known, args.to[n].motion, *context.epoch);
    if (!moved) {
      return fail(std::move(moved.error()));
    }
    context.ties[n].moved = std::move(*moved);
  }
  return ok();
}

void put_results(const solve::Network& network, TieContext& context) {
  std::size_t at = 0;
  for (TieReport& tie : context.ties) {
    if (report::has_vector(tie)) {
      tie.network = network.ties[at++];
    }
  }
}

Status adjust(const TieArgs& args,
              const OrbitInputs& orbits,
              TieContext& context) {
  const FrameLabel label = frame_of_label(args.to.front().known.frame);
  const solve::NetworkFrame frame{label.aligned_to, *context.epoch};
  const auto ties = network_ties(context, true);
  context.network = solve::adjust_network(ties, {}, frame);
  // The codes are quick, and enough for a coordinate that is badly wrong.
  const LocateMethod method =
      context.network->passed ? LocateMethod::kCode : args.common.method;
  const auto evidence = gather_evidence(args, orbits, context, method);
  if (!evidence) {
    return fail(evidence.error());
  }
  compare_known(*evidence, frame, context);
  if (!context.network->passed) {
    context.network = solve::adjust_network(ties, *evidence, frame);
  }
  put_results(*context.network, context);
  const auto free =
      solve::adjust_network(network_ties(context, false), {}, frame);
  const Mat3 axes = enu_R_ecef(to_geodetic(context.network->position_m));
  const Cov3 enu = covariance_to_enu(axes, free.covariance_m2);
  for (std::size_t i = 0; i < 3; ++i) {
    context.sigma_without_calibration_enu_m[i] =
        std::sqrt(std::max(0.0, enu[4 * i]));
  }
  return ok();
}

}  // namespace

Result<TieContext> adjust_ties(const TieArgs& args,
                               const OrbitInputs& orbits,
                               std::vector<TieSession> sessions) {
  TieContext context;
  const rinex::ObservationHeader& here = sessions.front().here;
  context.here.marker_name = here.marker_name;
  context.here.antenna_type = here.antenna_type;
  context.here.antenna_delta_enu_m = here.antenna_delta_enu_m;
  context.here.precise_orbits = orbits.precise;
  context.frame = frame_of_label(args.to.front().known.frame).frame.name;
  for (std::size_t n = 0; n < sessions.size(); ++n) {
    context.ties.push_back(report_of(args.to[n], sessions[n]));
  }
  context.epoch = middle(context);
  if (!context.epoch) {
    return context;
  }
  if (auto moved = move_all(args, context); !moved) {
    return fail(std::move(moved.error()));
  }
  if (auto adjusted = adjust(args, orbits, context); !adjusted) {
    return fail(std::move(adjusted.error()));
  }
  return context;
}

}  // namespace stillpoint::app
