// `stillpoint export`: recorded segments to RINEX files.
#include <fmt/format.h>

#include <nlohmann/json.hpp>
#include <utility>

#include "stillpoint/app/exit_codes.h"
#include "stillpoint/app/export_args.h"
#include "stillpoint/app/export_document.h"
#include "stillpoint/app/export_files.h"
#include "stillpoint/app/help.h"
#include "stillpoint/app/output.h"
#include "stillpoint/app/progress.h"
#include "stillpoint/app/verbs.h"
#include "stillpoint/archive/posix_file_system.h"
#include "stillpoint/config/station_config.h"
#include "stillpoint/intake/export/export_archive.h"
#include "stillpoint/net/source_address.h"
#include "stillpoint/report/locate_json.h"
#include "stillpoint/station/clock.h"
#include "stillpoint/station/receiver_profile.h"
#include "stillpoint/station/settings_file.h"
#include "stillpoint/station/source_day.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::app {
namespace {

constexpr std::size_t kColumns = 20;  // of a header's first fields

// "20261129 041500 UTC".
std::string date_text(GnssTime now) {
  const Calendar c = to_calendar(now, TimeScale::kUtc);
  return fmt::format("{:04}{:02}{:02} {:02}{:02}{:02} UTC",
                     c.year,
                     c.month,
                     c.day,
                     c.hour,
                     c.minute,
                     static_cast<int>(c.second));
}

intake::OwnDescription own_description(const config::StationConfig& config) {
  return {config.station.marker_number,
          config.station.observer,
          config.station.agency,
          config.receiver.type,
          config.receiver.serial,
          config.receiver.firmware,
          config.antenna.type,
          config.antenna.serial,
          config.antenna.height_m,
          config.antenna.east_m,
          config.antenna.north_m};
}

// What the settings say; the words of the command line go before them.
Status read_station(const ExportArgs& args,
                    intake::ExportRequest& request,
                    std::string& recording) {
  recording = args.raw;
  request.naming.station = args.name;
  if (args.config.empty()) {
    return ok();
  }
  const auto config = station::read_settings(args.config);
  if (!config) {
    return fail(config.error());
  }
  recording = config->station.state + "/raw";
  if (args.name.empty()) {
    request.naming.station = config->station.name;
  }
  request.own = own_description(*config);
  request.run_by = config->station.agency.substr(0, kColumns);
  if (const auto source = net::parse_source(config->receiver.source)) {
    request.day = station::day_of(*source);
  }
  auto profile = station::load_profile(config->receiver.profile);
  if (!profile) {
    return fail(std::move(profile.error()));
  }
  request.framings = std::move(profile->framings);
  return ok();
}

struct Failure {
  Error error;
  bool system = false;  // the input was good, the disk was not
};

tl::expected<ExportDone, Failure> make_files(const ExportArgs& args) {
  const auto failure = [](Error error, bool system = false) {
    return tl::unexpected<Failure>(Failure{std::move(error), system});
  };
  const GnssTime now = station::wall_now();
  intake::ExportRequest request;
  request.naming.version = args.version;
  request.naming.hatanaka = args.hatanaka;
  request.naming.gzip = args.gzip;
  request.length = args.length;
  request.span = args.span;
  request.received = args.received;
  request.interval_s = args.interval_s;
  request.program = "stillpoint " STILLPOINT_VERSION;
  request.run_date = date_text(now);
  request.era = now;
  ExportDone done;
  if (auto read = read_station(args, request, done.recording); !read) {
    return failure(std::move(read.error()));
  }
  done.station = request.naming.station;
  auto files = ExportFiles::in(args.out, args.gzip);
  if (!files) {
    return failure(std::move(files.error()), true);
  }
  const auto disk = archive::posix_file_system();
  Progress progress("export");
  auto answer = intake::export_archive(
      *disk,
      done.recording,
      request,
      [&files](const std::string& name) { return files->open(name); },
      [&progress](std::uint64_t epochs) {
        progress.step(static_cast<long long>(epochs));
      });
  if (!answer) {
    return failure(std::move(answer.error()), files->failed());
  }
  done.answer = std::move(*answer);
  for (const intake::ExportedFile& file : done.answer.files) {
    auto written = files->written(file.name);
    if (!written) {
      return failure(std::move(written.error()), true);
    }
    done.written.push_back(std::move(*written));
  }
  return done;
}

}  // namespace

int run_export(const Arguments& arguments) {
  const auto args = parse_export(arguments.words);
  if (!args) {
    return report_error(args.error(), arguments.json);
  }
  if (args->help) {
    return print_data(kHelpExport) ? kExitGood : kExitSystem;
  }
  const auto done = make_files(*args);
  if (!done) {
    const Error& error = done.error().error;
    if (!arguments.json && error.code == ErrorCode::kConfig &&
        !args->config.empty() && error.where.starts_with(args->config)) {
      print_note(config::mistake_lines(error));
      return kExitInput;
    }
    const int code = report_error(error, arguments.json);
    return done.error().system ? kExitSystem : code;
  }
  const bool printed =
      print_data(arguments.json ? report::to_text(export_json(*args, *done))
                                : export_text(*done));
  return printed ? kExitGood : kExitSystem;
}

}  // namespace stillpoint::app
