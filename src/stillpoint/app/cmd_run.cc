// `stillpoint run`: the station.
#include "stillpoint/app/exit_codes.h"
#include "stillpoint/app/help.h"
#include "stillpoint/app/output.h"
#include "stillpoint/app/run_args.h"
#include "stillpoint/app/stream_source.h"
#include "stillpoint/app/verbs.h"
#include "stillpoint/config/station_config.h"
#include "stillpoint/station/settings_file.h"
#include "stillpoint/station/station.h"

namespace stillpoint::app {

int run_run(const Arguments& arguments) {
  const auto args = parse_run(arguments.words);
  if (!args) {
    return report_error(args.error(), arguments.json);
  }
  if (args->help) {
    return print_data(kHelpRun) ? kExitGood : kExitSystem;
  }
  auto config = station::read_settings(args->config);
  if (!config && !arguments.json && config.error().code == ErrorCode::kConfig) {
    print_note(config::mistake_lines(config.error()));
    return kExitInput;
  }
  if (!config) {
    return report_error(config.error(), arguments.json);
  }
  station::StationOptions options;
  options.config_path = args->config;
  options.program_version = STILLPOINT_VERSION;
  options.open_source = open_stream;
  options.simulated = args->simulated;
  const auto ended =
      station::run_station(std::move(options), std::move(*config));
  if (ended) {
    return kExitGood;
  }
  const int code = report_error(ended.error(), arguments.json);
  // A port, a folder, another station: the system, not what was written.
  const bool system = ended.error().code == ErrorCode::kIo ||
                      ended.error().code == ErrorCode::kUsage;
  return system ? kExitSystem : code;
}

}  // namespace stillpoint::app
