#include "stillpoint/app/demo_args.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include "stillpoint/core/text.h"

namespace stillpoint::app {
namespace {

constexpr double kFastest = 1e5;
constexpr double kLongestHours = 48;  // of the scenario
constexpr std::int64_t kMostPort = 65'535;

tl::unexpected<Error> usage(std::string what, std::string remedy) {
  return fail(ErrorCode::kUsage, std::move(what), "", std::move(remedy));
}

Status read_number(const char* option,
                   const std::string& text,
                   double most,
                   double& into) {
  if (text.empty()) {
    return ok();
  }
  const auto number = parse_double(text);
  if (!number || !(*number >= 1 && *number <= most)) {
    return usage(fmt::format("{} '{}' is not in range", option, text),
                 fmt::format("give a number 1 .. {:g}", most));
  }
  into = *number;
  return ok();
}

Status read_port(const std::string& text, std::uint16_t& port) {
  if (text.empty()) {
    return ok();
  }
  const auto number = parse_int(text);
  if (!number || *number < 0 || *number > kMostPort) {
    return usage(fmt::format("--port '{}' is no port", text),
                 "give a number 1 .. 65535, or 0 for a free one");
  }
  port = static_cast<std::uint16_t>(*number);
  return ok();
}

}  // namespace

Result<DemoArgs> parse_demo(const std::vector<std::string>& words) {
  DemoArgs args;
  std::string speed, port, hours;
  CLI::App app;
  app.set_help_flag();
  app.add_option("--speed", speed)->take_last();
  app.add_option("--port", port)->take_last();
  app.add_option("--dir", args.dir)->take_last();
  app.add_option("--hours", hours)->take_last();
  app.add_flag("--stay", args.stay);
  app.add_flag("--help", args.help);
  try {
    app.parse(std::vector<std::string>(words.rbegin(), words.rend()));
  } catch (const CLI::Error& e) {
    return usage(e.what(), "see stillpoint demo --help");
  }
  if (args.help) {
    return args;
  }
  for (const Status& status :
       {read_number("--speed", speed, kFastest, args.speed),
        read_number("--hours", hours, kLongestHours, args.hours),
        read_port(port, args.port)}) {
    if (!status) {
      return fail(status.error());
    }
  }
  if (args.dir.empty()) {
    return usage("--dir names no folder", "give a folder that is not there");
  }
  return args;
}

}  // namespace stillpoint::app
