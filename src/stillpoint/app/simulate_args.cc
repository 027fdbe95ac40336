#include "stillpoint/app/simulate_args.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cmath>

#include "stillpoint/app/destination.h"
#include "stillpoint/app/option_values.h"
#include "stillpoint/core/text.h"
#include "stillpoint/station/small_file.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::app {
namespace {

constexpr double kFastest = 1e6;
constexpr std::size_t kMostScenario = std::size_t{256} * 1024;

tl::unexpected<Error> usage(
    std::string what, std::string remedy = "see stillpoint simulate --help") {
  return fail(ErrorCode::kUsage, std::move(what), "", std::move(remedy));
}

Status read_effects(const char* option,
                    const std::vector<std::string>& names,
                    simulate::EffectSet& into) {
  for (const std::string& name : names) {
    if (name == "none") {
      continue;
    }
    const auto effect = simulate::find_effect(name);
    if (!effect) {
      return usage(fmt::format("{} '{}' is no effect of a world", option, name),
                   "give names that stillpoint simulate --help lists, or none");
    }
    into.add(*effect);
  }
  return ok();
}

}  // namespace

Result<SimulateArgs> parse_simulate(const std::vector<std::string>& words) {
  SimulateArgs args;
  std::vector<std::string> scenarios, only, without;
  std::string to, speed, start, end, interval, seed, format, level;
  CLI::App app;
  app.set_help_flag();
  app.add_option("SCENARIO", scenarios)->expected(1, -1);
  app.add_flag("--rinex", args.rinex);
  app.add_flag("--rtcm", args.rtcm);
  app.add_flag("--bytes", args.bytes);
  app.add_flag("--products", args.products);
  app.add_flag("--terms", args.terms);
  app.add_option("--out", args.out)->take_last();
  app.add_option("--format", format)->take_last();
  app.add_flag("--hatanaka", args.hatanaka);
  app.add_flag("--gzip", args.gzip);
  app.add_option("--receiver", args.receivers)->expected(1, -1);
  app.add_option("--start", start)->take_last();
  app.add_option("--end", end)->take_last();
  app.add_option("--interval", interval)->take_last();
  app.add_option("--seed", seed)->take_last();
  auto* only_option = app.add_option("--only", only)->expected(1, -1);
  app.add_option("--without", without)->expected(1, -1);
  app.add_option("--msm", level)->take_last();
  app.add_option("--to", to)->take_last();
  app.add_option("--speed", speed)->take_last();
  app.add_flag("--help", args.help);
  try {
    app.parse(std::vector<std::string>(words.rbegin(), words.rend()));
  } catch (const CLI::Error& e) {
    return usage(e.what());
  }
  if (args.help) {
    return args;
  }
  if (scenarios.size() != 1) {
    return usage(scenarios.empty() ? "simulate needs a scenario"
                                   : "simulate takes one scenario",
                 "give a file, or larch-hollow");
  }
  args.scenario = scenarios.front();
  args.only_given = only_option->count() > 0;
  double interval_s = 0, seed_number = -1, level_number = args.msm_level;
  for (const Status& status :
       {read_version(format, args.version),
        read_effects("--only", only, args.only),
        read_effects("--without", without, args.without),
        read_time("--start", start, args.start),
        read_time("--end", end, args.end),
        read_number("--interval",
                    interval,
                    0.05,
                    3600,
                    "seconds, 0.05 to 3600",
                    interval_s),
        read_number("--seed", seed, 0, 9e15, "a whole number", seed_number),
        read_number("--msm", level, 4, 7, "4 or 7", level_number),
        read_number("--speed",
                    speed,
                    0,
                    kFastest,
                    "a factor, 1 for real time, 0 for as fast as it is read",
                    args.speed)}) {
    if (!status) {
      return fail(status.error());
    }
  }
  if (interval_s > 0) {
    args.interval_s = interval_s;
  }
  if (seed_number >= 0) {
    args.seed = static_cast<std::uint64_t>(seed_number);
  }
  args.msm_level = static_cast<int>(level_number);
  if (args.msm_level != 4 && args.msm_level != 7) {
    return usage(fmt::format("--msm '{}' is not sent here", level),
                 "give 4 or 7");
  }
  if (!to.empty()) {
    const auto destination = parse_destination(to, "simulate");
    if (!destination) {
      return fail(destination.error());
    }
    args.plays = true;
    args.to_pty = destination->pty;
    args.port = destination->port;
  } else if (!args.rinex && !args.rtcm && !args.bytes && !args.products &&
             !args.terms) {
    args.rinex = args.products = true;
  }
  return args;
}

Result<simulate::Scenario> load_scenario(const SimulateArgs& args) {
  std::string text;
  if (const auto shipped = simulate::find_shipped_scenario(args.scenario)) {
    text = *shipped;
  } else {
    auto read = station::read_small_file(args.scenario, kMostScenario);
    if (!read) {
      if (read.error().remedy.empty()) {
        read.error().remedy = "give a scenario's file, or larch-hollow";
      }
      return fail(std::move(read.error()));
    }
    text = std::move(*read);
  }
  auto parsed = simulate::parse_scenario(text, args.scenario);
  if (!parsed) {
    return parsed;
  }
  simulate::Scenario& s = *parsed;
  if (args.only_given) {
    s.effects = args.only;
  }
  for (const simulate::EffectName& row : simulate::effect_names()) {
    if (args.without.has(row.effect)) {
      s.effects.remove(row.effect);
    }
  }
  s.seed = args.seed.value_or(s.seed);
  for (simulate::ReceiverScenario& r : s.receivers) {
    r.interval_s = args.interval_s.value_or(r.interval_s);
  }
  for (const std::string& name : args.receivers) {
    const auto is_it = [&](const auto& r) { return r.name == name; };
    if (std::none_of(s.receivers.begin(), s.receivers.end(), is_it)) {
      return usage(fmt::format("no receiver '{}' in {}", name, args.scenario),
                   "give a name of its tables [[receiver]]");
    }
  }
  const GnssTime from = args.start.value_or(s.start);
  const GnssTime to = args.end.value_or(s.start + Duration{s.length_s});
  if (from < s.start || to > s.start + Duration{s.length_s} || to <= from) {
    return usage(
        fmt::format("the scenario lasts from {} to {}, not from {} to {}",
                    format_gpst(s.start),
                    format_gpst(s.start + Duration{s.length_s}),
                    format_gpst(from),
                    format_gpst(to)),
        "give --start and --end within it");
  }
  return parsed;
}

std::vector<std::size_t> chosen_receivers(const SimulateArgs& args,
                                          const simulate::Scenario& scenario) {
  std::vector<std::size_t> chosen;
  for (std::size_t i = 0; i < scenario.receivers.size(); ++i) {
    const std::string& name = scenario.receivers[i].name;
    if (args.receivers.empty() ||
        std::find(args.receivers.begin(), args.receivers.end(), name) !=
            args.receivers.end()) {
      chosen.push_back(i);
    }
  }
  return chosen;
}

}  // namespace stillpoint::app
