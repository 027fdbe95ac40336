// `stillpoint tie`: the coordinate of a station from others that are known.
#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "stillpoint/app/exit_codes.h"
#include "stillpoint/app/help.h"
#include "stillpoint/app/locate_fetch.h"
#include "stillpoint/app/locate_outputs.h"
#include "stillpoint/app/output.h"
#include "stillpoint/app/tie_args.h"
#include "stillpoint/app/tie_checks.h"
#include "stillpoint/app/tie_inputs.h"
#include "stillpoint/app/tie_network.h"
#include "stillpoint/app/tie_outputs.h"
#include "stillpoint/app/tie_session.h"
#include "stillpoint/app/verbs.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::app {
namespace {

using Warnings = std::vector<solve::Warning>;

Result<std::vector<report::InputFile>> tie_digests(const TieArgs& args) {
  LocateArgs all = args.common;
  all.observations = all_observations(args);
  auto inputs = digests(all);
  if (!inputs) {
    return fail(std::move(inputs.error()));
  }
  if (auto differ = check_files_differ(args, *inputs); !differ) {
    return fail(std::move(differ.error()));
  }
  return inputs;
}

Result<std::vector<TieSession>> sessions_of(const TieArgs& args,
                                            const OrbitInputs& orbits) {
  std::vector<TieSession> sessions;
  for (std::size_t n = 0; n < args.to.size(); ++n) {
    auto session = tie_session(args, n, orbits);
    if (!session) {
      return fail(std::move(session.error()));
    }
    for (const TieSession& other : sessions) {
      if (auto differ = check_stations_differ(
              other.there, session->there, args.to[n].files.front());
          !differ) {
        return fail(std::move(differ.error()));
      }
    }
    sessions.push_back(std::move(*session));
  }
  return sessions;
}

void put_warnings(const TieArgs& args,
                  const OrbitInputs& orbits,
                  const FetchedInputs& fetched,
                  solve::Solution& solution) {
  Warnings& all = solution.warnings;
  if (solution.last && *solution.last > leap_table_expires()) {
    all.push_back({"leap_table_expired",
                   "the table of leap seconds may be out of date for these "
                   "data; update the program",
                   std::nullopt});
  }
  all.insert(all.end(), orbits.warnings.begin(), orbits.warnings.end());
  all.insert(all.end(), fetched.warnings.begin(), fetched.warnings.end());
  warn_without(args.common, solution);
}

// Recorded streams that were to bring their own ephemerides and did not.
tl::unexpected<Error> no_ephemerides(const std::string& path) {
  return fail(ErrorCode::kNoData,
              "there are no ephemerides in the recorded streams",
              path,
              "give the broadcast navigation file of the day with --nav, or "
              "precise orbits with --orbits; a stream without ephemerides "
              "needs its day too: file:PATH?date=YYYY-MM-DD");
}

Result<int> tie(TieArgs args, bool json) {
  if (auto frame = check_one_frame(args); !frame) {
    return fail(std::move(frame.error()));
  }
  FetchedInputs fetched;
  if (args.common.fetch) {
    auto brought = fetch_inputs(args.common);
    if (!brought) {
      return fail(std::move(brought.error()));
    }
    fetched = std::move(*brought);
  }
  const bool own = args.common.navigation.empty() && args.common.orbits.empty();
  if (auto completed = complete_orbits(all_observations(args), args.common);
      !completed) {
    return fail(std::move(completed.error()));
  }
  auto inputs = tie_digests(args);
  if (!inputs) {
    return fail(std::move(inputs.error()));
  }
  auto orbits = read_tie_inputs(args);
  if (!orbits) {
    return fail(forget_unreadable(std::move(orbits.error()), fetched));
  }
  if (own && !orbits->any_broadcast) {
    return no_ephemerides(args.common.navigation.front());
  }
  auto sessions = sessions_of(args, *orbits);
  if (!sessions) {
    return fail(std::move(sessions.error()));
  }
  auto context = adjust_ties(args, *orbits, std::move(*sessions));
  if (!context) {
    return fail(std::move(context.error()));
  }
  context->here.inputs = std::move(*inputs);
  context->here.without = args.common.without_names;
  context->here.version = STILLPOINT_VERSION;
  solve::Solution solution = report::tie_solution(*context);
  put_warnings(args, *orbits, fetched, solution);
  return hand_out_tie(args, solution, *context, json);
}

}  // namespace

int run_tie(const Arguments& arguments) {
  auto args = parse_tie(arguments.words);
  if (!args) {
    return report_error(args.error(), arguments.json);
  }
  if (args->common.help) {
    return print_data(kHelpTie) ? kExitGood : kExitSystem;
  }
  const auto exit_code = tie(std::move(*args), arguments.json);
  return exit_code ? *exit_code
                   : report_error(exit_code.error(), arguments.json);
}

}  // namespace stillpoint::app
