#include "stillpoint/app/locate_outputs.h"

#include <algorithm>
#include <nlohmann/json.hpp>
#include <utility>

#include "stillpoint/app/epoch_reader.h"
#include "stillpoint/app/exit_codes.h"
#include "stillpoint/app/output.h"
#include "stillpoint/app/whole_file.h"
#include "stillpoint/pack/digest.h"
#include "stillpoint/report/locate_html.h"
#include "stillpoint/report/locate_json.h"
#include "stillpoint/report/locate_text.h"

namespace stillpoint::app {
int exit_code_for(solve::SolveStatus status) {
  switch (status) {
    case solve::SolveStatus::kConverged:
      return kExitGood;
    case solve::SolveStatus::kNotConverged:
      return kExitNo;
    case solve::SolveStatus::kFailed:
      break;
  }
  return kExitInput;
}

Result<std::vector<report::InputFile>> digests(const LocateArgs& args) {
  std::vector<report::InputFile> files;
  const std::vector<std::string> single{args.earth, args.loading};
  for (const auto* list : {&args.observations,
                           &args.navigation,
                           &args.orbits,
                           &args.clocks,
                           &args.biases,
                           &args.antennas,
                           &args.offsets,
                           &single}) {
    for (const std::string& path : *list) {
      if (path.empty()) {
        continue;
      }
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

void warn_without(const LocateArgs& args, solve::Solution& solution) {
  if (args.without_names.empty()) {
    return;
  }
  std::string names;
  for (const std::string& name : args.without_names) {
    names += names.empty() ? "" : ", ";
    names += name;
  }
  solution.warnings.push_back(
      {"terms_left_out",
       "left out on request: " + names + "; not a position to use",
       std::nullopt});
}

report::LocateContext context_of(const LocateArgs& args,
                                 const LocateSession& session,
                                 bool precise) {
  report::LocateContext context;
  context.method = args.method != LocateMethod::kPpp ? "code"
                   : session.solution.fixed          ? "ppp-fixed"
                                                     : "ppp-float";
  context.marker_name = session.header.marker_name;
  context.antenna_type = session.header.antenna_type;
  context.antenna_delta_enu_m = session.header.antenna_delta_enu_m;
  context.precise_orbits = precise;
  context.without = args.without_names;
  context.version = STILLPOINT_VERSION;
  return context;
}

int hand_out(const LocateArgs& args,
             const LocateSession& session,
             const report::LocateContext& context,
             bool json) {
  const solve::Solution& solution = session.solution;
  const std::string document =
      report::to_text(report::locate_json(solution, context));
  Status written = ok();
  if (!args.out.empty()) {
    written = write_whole_file(args.out, document, args.working_folder);
  }
  if (written && !args.report.empty()) {
    written = write_whole_file(
        args.report,
        report::locate_html(solution, context, &session.series),
        args.working_folder);
  }
  if (!written) {
    report_error(written.error(), json);
    return kExitSystem;  // the input was good, the disk was not
  }
  const bool printed =
      print_data(json ? document : report::locate_text(solution, context));
  return printed ? exit_code_for(solution.status) : kExitSystem;
}

}  // namespace stillpoint::app
