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

void warn_without(const LocateArgs& args, solve::Solution& solution) {
  if (args.without_names.empty()) {
    return;
  }
  std::string names;
  for (const std::string& name : args.without_names) {
    names += (names.empty() ? "" : ", ") + name;
  }
  solution.warnings.push_back(
      {"terms_left_out",
       "left out on request: " + names + "; not a position to use",
       std::nullopt});
}

// A recorded stream brings its own ephemerides.
Result<LocateArgs> with_orbits(LocateArgs args) {
  if (!args.navigation.empty() || !args.orbits.empty()) {
    return args;
  }
  for (const std::string& text : args.observations) {
    const auto input = parse_input(text);
    if (!input) {
      return fail(input.error());
    }
    if (is_capture(input->path)) {
      args.navigation.push_back(text);
    }
  }
  if (args.navigation.empty()) {
    return fail(ErrorCode::kUsage,
                "no orbits: neither --nav nor --orbits was given",
                "",
                "give the broadcast navigation file of the day with --nav or "
                "precise orbits with --orbits, or have them brought with "
                "--fetch");
  }
  return args;
}

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
  auto completed = with_orbits(std::move(given));
  if (!completed) {
    return fail(std::move(completed.error()));
  }
  const LocateArgs& args = *completed;
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
