// `stillpoint locate`: files in, position out.
#include <optional>
#include <string>
#include <utility>

#include "stillpoint/app/epoch_reader.h"
#include "stillpoint/app/exit_codes.h"
#include "stillpoint/app/help.h"
#include "stillpoint/app/locate_args.h"
#include "stillpoint/app/locate_fetch.h"
#include "stillpoint/app/locate_inputs.h"
#include "stillpoint/app/locate_outputs.h"
#include "stillpoint/app/locate_session.h"
#include "stillpoint/app/output.h"
#include "stillpoint/app/verbs.h"

namespace stillpoint::app {
namespace {

// Of recorded streams that were to bring their own and did not.
tl::unexpected<Error> no_ephemerides(const std::string& text) {
  const auto input = parse_input(text);
  const bool dated = input && input->day;
  return fail(ErrorCode::kNoData,
              "there are no ephemerides in this recorded stream",
              input ? input->path : text,
              std::string("give the broadcast navigation file of the day with "
                          "--nav, or precise orbits with --orbits") +
                  (dated ? ""
                         : ", and name the day of the data: "
                           "file:PATH?date=YYYY-MM-DD"));
}

// Of the first file's header, so that only its patterns are kept in memory.
Result<std::string> antenna_type_of(const LocateArgs& args) {
  if (args.antennas.empty()) {
    return std::string();
  }
  auto opened = open_epochs(args.observations.front());
  if (!opened) {
    return fail(std::move(opened.error()));
  }
  return (*opened)->header().antenna_type;
}

Result<int> locate(LocateArgs given, bool json) {
  FetchedInputs fetched;
  if (given.fetch) {
    auto brought = fetch_inputs(given);
    if (!brought) {
      return fail(std::move(brought.error()));
    }
    fetched = std::move(*brought);
  }
  const bool own = given.navigation.empty() && given.orbits.empty();
  if (auto completed = complete_orbits(given.observations, given); !completed) {
    return fail(std::move(completed.error()));
  }
  const LocateArgs& args = given;
  auto inputs = digests(args);
  if (!inputs) {
    return fail(std::move(inputs.error()));
  }
  auto antenna = antenna_type_of(args);
  if (!antenna) {
    return fail(std::move(antenna.error()));
  }
  auto orbits = read_orbits(args, *antenna);
  if (!orbits) {
    return fail(forget_unreadable(std::move(orbits.error()), fetched));
  }
  if (own && !orbits->any_broadcast) {
    return no_ephemerides(args.navigation.front());
  }
  auto session = locate_session(args, *orbits);
  if (!session) {
    return fail(std::move(session.error()));
  }
  auto& warnings = session->solution.warnings;
  warnings.insert(
      warnings.end(), fetched.warnings.begin(), fetched.warnings.end());
  warn_without(args, session->solution);
  report::LocateContext context = context_of(args, *session, orbits->precise);
  context.inputs = std::move(*inputs);
  return hand_out(args, *session, context, json);
}

}  // namespace

int run_locate(const Arguments& arguments) {
  auto args = parse_locate(arguments.words);
  if (!args) {
    return report_error(args.error(), arguments.json);
  }
  if (args->help) {
    return print_data(kHelpLocate) ? kExitGood : kExitSystem;
  }
  const auto exit_code = locate(std::move(*args), arguments.json);
  return exit_code ? *exit_code
                   : report_error(exit_code.error(), arguments.json);
}

}  // namespace stillpoint::app
