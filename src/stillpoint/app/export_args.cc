#include "stillpoint/app/export_args.h"

#include <CLI/CLI.hpp>
#include <cmath>

#include "stillpoint/app/option_values.h"
#include "stillpoint/config/text_rules.h"
#include "stillpoint/core/text.h"

namespace stillpoint::app {
namespace {

constexpr std::int64_t kDayMs = 86'400'000;

tl::unexpected<Error> usage(
    std::string what, std::string remedy = "see stillpoint export --help") {
  return fail(ErrorCode::kUsage, std::move(what), "", std::move(remedy));
}

Status read_period(const std::string& text, intake::PeriodLength& length) {
  if (text == "hour") {
    length = intake::PeriodLength::kHour;
  } else if (!text.empty() && text != "day") {
    return usage("--period '" + text + "' is not how files are cut",
                 "give hour or day");
  }
  return ok();
}

// "30", "30s", "5m".
Status read_interval(const std::string& text,
                     std::optional<double>& interval_s) {
  if (text.empty()) {
    return ok();
  }
  const auto seconds = parse_duration_s(text);
  const bool in_range = seconds && *seconds >= 0.01 && *seconds <= 86'400;
  const std::int64_t ms = in_range ? std::llround(*seconds * 1000) : 0;
  if (!in_range || std::abs(*seconds * 1000 - static_cast<double>(ms)) > 1e-6 ||
      kDayMs % ms != 0) {
    return usage("--interval '" + text + "' is not in use",
                 "give seconds of which a day is a whole number, such as 30");
  }
  interval_s = *seconds;
  return ok();
}

Status check_place(const ExportArgs& args) {
  if (args.config.empty() == args.raw.empty()) {
    return usage(args.config.empty()
                     ? "export needs a recording"
                     : "--config and --raw both name a recording",
                 "give --config station.toml, or --raw FOLDER --name "
                 "LHOL00XXX for a recording without its settings");
  }
  if (args.config.empty() && args.name.empty()) {
    return usage("--raw needs the station's name",
                 "give --name, such as LHOL00XXX");
  }
  if (!args.name.empty() && !config::kStationName.fits(args.name)) {
    return usage("--name '" + args.name + "' is not a station's name",
                 "give " + std::string(config::kStationName.allowed) +
                     ", such as LHOL00XXX");
  }
  return ok();
}

}  // namespace

Result<ExportArgs> parse_export(const std::vector<std::string>& words) {
  ExportArgs args;
  std::string start, end, received_start, received_end, interval, format,
      period;
  CLI::App app;
  app.set_help_flag();
  app.add_option("--config", args.config)->take_last();
  app.add_option("--raw", args.raw)->take_last();
  app.add_option("--name", args.name)->take_last();
  app.add_option("--start", start)->take_last();
  app.add_option("--end", end)->take_last();
  app.add_option("--received-start", received_start)->take_last();
  app.add_option("--received-end", received_end)->take_last();
  app.add_option("--interval", interval)->take_last();
  app.add_option("--format", format)->take_last();
  app.add_option("--period", period)->take_last();
  app.add_option("--out", args.out)->take_last();
  app.add_flag("--hatanaka", args.hatanaka);
  app.add_flag("--gzip", args.gzip);
  app.add_flag("--help", args.help);
  try {
    app.parse(std::vector<std::string>(words.rbegin(), words.rend()));
  } catch (const CLI::Error& e) {
    return usage(e.what());
  }
  if (args.help) {
    return args;
  }
  for (const Status& status :
       {check_place(args),
        read_version(format, args.version),
        read_period(period, args.length),
        read_interval(interval, args.interval_s),
        read_time("--start", start, args.span.start),
        read_time("--end", end, args.span.end),
        read_time("--received-start", received_start, args.received.start),
        read_time("--received-end", received_end, args.received.end)}) {
    if (!status) {
      return fail(status.error());
    }
  }
  if (args.span.start && args.span.end && *args.span.end <= *args.span.start) {
    return usage("--end is not after --start",
                 "the span is half open: --start is in, --end is out");
  }
  if (args.received.start && args.received.end &&
      *args.received.end <= *args.received.start) {
    return usage("--received-end is not after --received-start",
                 "the span is half open: the first is in, the second is out");
  }
  return args;
}

}  // namespace stillpoint::app
