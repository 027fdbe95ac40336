// `stillpoint locate`: files in, position out.
#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <fstream>
#include <nlohmann/json.hpp>
#include <utility>

#include "stillpoint/app/digest.h"
#include "stillpoint/app/epoch_reader.h"
#include "stillpoint/app/exit_codes.h"
#include "stillpoint/app/help.h"
#include "stillpoint/app/locate_args.h"
#include "stillpoint/app/locate_inputs.h"
#include "stillpoint/app/locate_session.h"
#include "stillpoint/app/output.h"
#include "stillpoint/app/verbs.h"
#include "stillpoint/report/locate_json.h"
#include "stillpoint/report/locate_text.h"

namespace stillpoint::app {
namespace {

Result<std::vector<report::InputFile>> digests(const LocateArgs& args) {
  std::vector<report::InputFile> files;
  for (const auto* list :
       {&args.observations, &args.navigation, &args.orbits}) {
    for (const std::string& path : *list) {
      const auto input = parse_input(path);
      if (!input) {
        return fail(input.error());
      }
      if (std::any_of(files.begin(), files.end(), [&](const auto& f) {
            return f.path == input->path;
          })) {
        continue;  // a recorded stream that brings its own ephemerides
      }
      auto digest = sha256_of_file(input->path);
      if (!digest) {
        return fail(std::move(digest.error()));
      }
      files.push_back({input->path, std::move(*digest)});
    }
  }
  return files;
}

// Written beside and renamed, so that a reader never sees half a record.
Status write_record(const std::string& path, const std::string& text) {
  const std::string beside = path + ".part";
  {
    std::ofstream out(beside, std::ios::binary | std::ios::trunc);
    out << text;
    out.flush();
    if (!out) {
      std::remove(beside.c_str());
      return fail(ErrorCode::kIo,
                  "the record cannot be written",
                  path,
                  "give a path in a folder that this user may write to");
    }
  }
  if (std::rename(beside.c_str(), path.c_str()) != 0) {
    std::remove(beside.c_str());
    return fail(ErrorCode::kIo, "the record cannot be put in place", path);
  }
  return ok();
}

report::LocateContext context_of(const LocateArgs& args,
                                 const LocateSession& session,
                                 bool precise) {
  report::LocateContext context;
  context.method = "code";
  context.marker_name = session.header.marker_name;
  context.antenna_type = session.header.antenna_type;
  context.antenna_delta_enu_m = session.header.antenna_delta_enu_m;
  context.precise_orbits = precise;
  context.without = args.without_names;
  context.version = STILLPOINT_VERSION;
  return context;
}

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
                "give the broadcast navigation file of the day with --nav, or "
                "precise orbits with --orbits");
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

Result<int> locate(const LocateArgs& given, bool json) {
  auto completed = with_orbits(given);
  if (!completed) {
    return fail(std::move(completed.error()));
  }
  const LocateArgs& args = *completed;
  auto inputs = digests(args);
  if (!inputs) {
    return fail(std::move(inputs.error()));
  }
  auto orbits = read_orbits(args.navigation, args.orbits);
  if (!orbits) {
    return fail(std::move(orbits.error()));
  }
  const bool own = given.navigation.empty() && given.orbits.empty();
  if (own && !orbits->any_broadcast) {
    return no_ephemerides(args.navigation.front());
  }
  auto session = locate_session(args, *orbits);
  if (!session) {
    return fail(std::move(session.error()));
  }
  warn_without(args, session->solution);
  report::LocateContext context = context_of(args, *session, orbits->precise);
  context.inputs = std::move(*inputs);
  const std::string document =
      report::to_text(report::locate_json(session->solution, context));
  if (!args.out.empty()) {
    if (auto written = write_record(args.out, document); !written) {
      report_error(written.error(), json);
      return kExitSystem;  // the input was good, the disk was not
    }
  }
  const bool printed = print_data(
      json ? document : report::locate_text(session->solution, context));
  if (!printed) {
    return kExitSystem;
  }
  switch (session->solution.status) {
    case solve::SolveStatus::kConverged:
      return kExitGood;
    case solve::SolveStatus::kNotConverged:
      return kExitNo;
    case solve::SolveStatus::kFailed:
      break;
  }
  return kExitInput;
}

}  // namespace

int run_locate(const Arguments& arguments) {
  const auto args = parse_locate(arguments.words);
  if (!args) {
    return report_error(args.error(), arguments.json);
  }
  if (args->help) {
    return print_data(kHelpLocate) ? kExitGood : kExitSystem;
  }
  const auto exit_code = locate(*args, arguments.json);
  return exit_code ? *exit_code
                   : report_error(exit_code.error(), arguments.json);
}

}  // namespace stillpoint::app
