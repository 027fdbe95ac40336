#include "stillpoint/app/run_args.h"

#include <CLI/CLI.hpp>

namespace stillpoint::app {
namespace {

tl::unexpected<Error> usage(const char* verb, std::string what) {
  return fail(ErrorCode::kUsage,
              std::move(what),
              "",
              std::string("see stillpoint ") + verb + " --help");
}

Status parse(CLI::App& app,
             const char* verb,
             const std::vector<std::string>& words) {
  try {
    app.parse(std::vector<std::string>(words.rbegin(), words.rend()));
  } catch (const CLI::ExtrasError&) {
    return usage(
        verb, std::string(verb) + " does not take " + app.remaining().front());
  } catch (const CLI::Error& e) {
    return usage(verb, e.what());
  }
  return ok();
}

}  // namespace

Result<RunArgs> parse_run(const std::vector<std::string>& words) {
  RunArgs args;
  CLI::App app;
  app.set_help_flag();
  app.add_option("--config", args.config)->take_last();
  app.add_flag("--simulated", args.simulated);
  app.add_flag("--help", args.help);
  if (auto parsed = parse(app, "run", words); !parsed) {
    return fail(std::move(parsed.error()));
  }
  if (args.config.empty() && !args.help) {
    return fail(ErrorCode::kUsage,
                "run needs the settings of the station",
                "",
                "give --config station.toml; packaging/station.toml is a "
                "commented one to copy");
  }
  return args;
}

Result<RunArgs> parse_check_config(const std::vector<std::string>& words) {
  RunArgs args;
  std::vector<std::string> files;
  CLI::App app;
  app.set_help_flag();
  app.add_option("files", files);
  app.add_flag("--help", args.help);
  if (auto parsed = parse(app, "check-config", words); !parsed) {
    return fail(std::move(parsed.error()));
  }
  if (files.size() != 1 && !args.help) {
    return usage("check-config", "check-config takes one file");
  }
  if (!args.help) {
    args.config = files.front();
  }
  return args;
}

}  // namespace stillpoint::app
