#include "stillpoint/app/tie_session.h"

#include <fmt/format.h>

#include <numbers>
#include <string>
#include <utility>

#include "stillpoint/app/epoch_pairs.h"
#include "stillpoint/app/progress.h"
#include "stillpoint/app/station_epochs.h"
#include "stillpoint/app/tie_checks.h"
#include "stillpoint/app/tie_same.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::app {
namespace {

solve::TieEnd end_of(const rinex::ObservationHeader& header) {
  solve::TieEnd end;
  end.name = header.marker_name;
  end.antenna_type = header.antenna_type;
  end.antenna_serial = header.antenna_serial;
  end.receiver_type = header.receiver_type;
  end.antenna_delta_enu_m = header.antenna_delta_enu_m;
  return end;
}

solve::PppAids aids_for(const TieArgs& args,
                        const OrbitInputs& orbits,
                        const std::string& marker) {
  solve::PppAids aids;
  aids.patterns = &orbits.patterns;
  aids.offsets = &orbits.offsets;
  if (const PreciseSource* products = orbits.products) {
    aids.biases = products->has_biases ? &products->biases : nullptr;
    aids.orbits_first = products->orbits.first();
    aids.orbits_last = products->orbits.last();
    if (products->has_clocks) {
      aids.clocks_first = products->clocks.first();
      aids.clocks_last = products->clocks.last();
    }
  }
  aids.earth = args.common.earth.empty() ? nullptr : &orbits.earth;
  aids.loading = find_station(orbits.loading, marker);
  return aids;
}

solve::TieOptions options_for(const TieArgs& args,
                              const OrbitInputs& orbits,
                              const TieSession& session) {
  solve::TieOptions options;
  options.systems = args.common.systems;
  options.elevation_mask_rad =
      args.common.elevation_mask_deg * std::numbers::pi / 180;
  options.without = args.common.without;
  options.here = end_of(session.here);
  options.there = end_of(session.there);
  options.aids = aids_for(args, orbits, options.here.name);
  options.integers = args.integers;
  options.glonass_channel = orbits.glonass_channel;
  for (const auto* header : {&session.there, &session.here}) {
    for (const auto& [sat, channel] : header->glonass_channels) {
      options.glonass_channel[sat.number] = channel;
    }
  }
  return options;
}

std::string epochs_words(const StationEpochs& station,
                         const std::string& fallback) {
  const std::string& marker = station.header().marker_name;
  const std::string name = marker.empty() ? fallback : marker;
  if (!station.first()) {
    return fmt::format("{} has none in the span", name);
  }
  return fmt::format("{} has {} from {} to {}",
                     name,
                     station.count(),
                     format_utc(*station.first()),
                     format_utc(*station.last()));
}

solve::TieAnswer nothing_in_common(const StationEpochs& here,
                                   const StationEpochs& there) {
  solve::TieAnswer answer;
  answer.solution.status = solve::SolveStatus::kFailed;
  answer.solution.why = fmt::format("no common epochs: {}, {}",
                                    epochs_words(here, "the first station"),
                                    epochs_words(there, "the known station"));
  return answer;
}

// Feeds all pairs; false when there was none.
Result<bool> feed(const TieArgs& args,
                  const TieTarget& target,
                  const OrbitInputs& orbits,
                  EpochPairs& pairs,
                  TieSession& session) {
  std::optional<solve::TieSolver> solver;
  SameObservations same;
  Progress progress("reading");
  long long count = 0;
  for (;;) {
    const auto more = pairs.next();
    if (!more) {
      return fail(more.error());
    }
    if (!*more) {
      break;
    }
    if (!solver) {
      const auto known =
          solve::move_known(target.known, target.motion, pairs.here().time);
      if (!known) {
        return fail(known.error());
      }
      solve::TieOptions options = options_for(args, orbits, session);
      options.there_marker_m = known->position_m;
      solver.emplace(options, *orbits.source);
    }
    same.add(pairs.here(), pairs.there());
    solver->add(pairs.here(), pairs.there());
    progress.step(++count);
  }
  if (auto differ = same.check(target.files.front()); !differ) {
    return fail(std::move(differ.error()));
  }
  if (!solver) {
    return false;
  }
  session.answer = solver->solve();
  session.series = solver->series();
  return true;
}

// A known coordinate on another continent leaves no satellite above both
// horizons; the header of its file says so.
void explain(const std::optional<solve::Warning>& header,
             solve::Solution& solution) {
  constexpr double kFarM = 10'000;
  if (header && header->size_m.value_or(0) > kFarM &&
      solution.status == solve::SolveStatus::kFailed) {
    solution.why += "; " + header->what;
  }
}

}  // namespace

Result<TieSession> tie_session(const TieArgs& args,
                               std::size_t target,
                               const OrbitInputs& orbits) {
  const TieTarget& to = args.to[target];
  const EpochSpan span{args.common.start, args.common.end};
  auto here = StationEpochs::open(args.common.observations, span);
  if (!here) {
    return fail(std::move(here.error()));
  }
  auto there = StationEpochs::open(to.files, span);
  if (!there) {
    return fail(std::move(there.error()));
  }
  TieSession session;
  session.here = here->header();
  session.there = there->header();
  if (auto differ =
          check_stations_differ(session.here, session.there, to.files.front());
      !differ) {
    return fail(std::move(differ.error()));
  }
  EpochPairs pairs(*here, *there);
  const auto fed = feed(args, to, orbits, pairs, session);
  if (!fed) {
    return fail(fed.error());
  }
  if (!*fed) {
    session.answer = nothing_in_common(*here, *there);
  }
  auto& warnings = session.answer.solution.warnings;
  for (const StationEpochs* station : {&*here, &*there}) {
    const auto more = station->warnings();
    warnings.insert(warnings.end(), more.begin(), more.end());
  }
  for (const auto* header : {&session.here, &session.there}) {
    if (auto height = odd_height(*header)) {
      warnings.push_back(std::move(*height));
    }
  }
  auto header = compare_header(session.there, to.known.position_m);
  explain(header, session.answer.solution);
  if (header) {
    warnings.push_back(std::move(*header));
  }
  return session;
}

}  // namespace stillpoint::app
