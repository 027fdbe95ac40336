#include "stillpoint/app/locate_outputs.h"

#include <algorithm>
#include <cerrno>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <utility>

#include "stillpoint/app/digest.h"
#include "stillpoint/app/epoch_reader.h"
#include "stillpoint/app/exit_codes.h"
#include "stillpoint/app/output.h"
#include "stillpoint/report/locate_html.h"
#include "stillpoint/report/locate_json.h"
#include "stillpoint/report/locate_text.h"

namespace stillpoint::app {
namespace {

// Where a result is written before it is whole.
std::string part_of(const std::string& path, const std::string& folder) {
  if (folder.empty()) {
    return path + ".part";
  }
  const std::filesystem::path name = std::filesystem::path(path).filename();
  return (std::filesystem::path(folder) / name).string() + ".part";
}

// Renamed when it is whole, so that a reader never sees half of it.
Status write_whole(const std::string& path,
                   const std::string& text,
                   const std::string& working_folder) {
  const std::string part = part_of(path, working_folder);
  {
    std::ofstream out(part, std::ios::binary | std::ios::trunc);
    out << text;
    out.flush();
    if (!out) {
      std::remove(part.c_str());
      return fail(ErrorCode::kIo,
                  "the result cannot be written",
                  working_folder.empty() ? path : part,
                  "give a path in a folder that this user may write to");
    }
  }
  if (std::rename(part.c_str(), path.c_str()) != 0) {
    const bool other_disk = errno == EXDEV;
    std::remove(part.c_str());
    return fail(ErrorCode::kIo,
                "the result cannot be put in place",
                path,
                other_disk ? "have working-folder on the file system of the "
                             "results, since only there a file can be put in "
                             "place whole"
                           : "give a path in a folder that this user may write "
                             "to");
  }
  return ok();
}

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

}  // namespace

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

report::LocateContext context_of(const LocateArgs& args,
                                 const LocateSession& session,
                                 bool precise) {
  report::LocateContext context;
  context.method = args.method == LocateMethod::kPpp ? "ppp-float" : "code";
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
    written = write_whole(args.out, document, args.working_folder);
  }
  if (written && !args.report.empty()) {
    written =
        write_whole(args.report,
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
