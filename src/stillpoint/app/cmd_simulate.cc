// `stillpoint simulate`: observations with a known truth, to files or as a
// receiver would send them.
#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "stillpoint/app/exit_codes.h"
#include "stillpoint/app/help.h"
#include "stillpoint/app/output.h"
#include "stillpoint/app/progress.h"
#include "stillpoint/app/simulate_document.h"
#include "stillpoint/app/simulate_files.h"
#include "stillpoint/app/simulate_player.h"
#include "stillpoint/app/verbs.h"
#include "stillpoint/report/locate_json.h"

namespace stillpoint::app {
namespace {

std::string played_document(const simulate::Sky& sky,
                            const std::string& receiver,
                            const std::string& where,
                            const SimulatePlayer& player) {
  return report::to_text({{"schema_version", report::kSchemaVersion},
                          {"simulated", true},
                          {"scenario", sky.scenario().name},
                          {"seed", sky.scenario().seed},
                          {"receiver", receiver},
                          {"to", where},
                          {"epochs", player.epochs()},
                          {"bytes", player.bytes()},
                          {"commands", player.settings().commands},
                          {"commands_refused", player.settings().refused}});
}

Result<int> play(const SimulateArgs& args,
                 const simulate::Sky& sky,
                 bool json) {
  const std::size_t number = chosen_receivers(args, sky.scenario()).front();
  const std::string& name = sky.scenario().receivers[number].name;
  net::Loop loop;
  SimulatePlayer player(args, loop, sky, number);
  const net::FromReaders from_readers = [&player](ByteSpan bytes) {
    player.take(bytes);
  };
  auto outlet = args.to_pty
                    ? net::open_pty_outlet(loop, from_readers)
                    : net::open_tcp_outlet(loop, args.port, from_readers);
  if (!outlet) {
    return fail(std::move(outlet.error()));
  }
  loop.on_interrupt([&loop] { loop.stop(); });
  player.start(**outlet);
  const std::string where = (*outlet)->where();
  const std::string line =
      fmt::format("ready: {} (simulated), listen to {}\n", name, where);
  if (json) {
    print_note(line);
  } else if (!print_data(line)) {
    return kExitSystem;
  }
  loop.run();
  if (player.error()) {
    return fail(*player.error());
  }
  const std::string said = json ? played_document(sky, name, where, player)
                                : fmt::format("played {} epochs, {} bytes\n",
                                              player.epochs(),
                                              player.bytes());
  return print_data(said) ? kExitGood : kExitSystem;
}

Result<int> write(const SimulateArgs& args,
                  const simulate::Sky& sky,
                  bool json) {
  Progress progress("epochs simulated");
  const auto answer =
      write_scenario(args, sky, [&](long long count) { progress.step(count); });
  if (!answer) {
    return fail(answer.error());
  }
  return print_data(json ? simulate_document(sky.scenario(), *answer)
                         : simulate_summary(sky.scenario(), *answer))
             ? kExitGood
             : kExitSystem;
}

Result<int> simulate_world(const SimulateArgs& args, bool json) {
  const auto scenario = load_scenario(args);
  if (!scenario) {
    return fail(scenario.error());
  }
  const simulate::Sky sky(*scenario);
  return args.plays ? play(args, sky, json) : write(args, sky, json);
}

}  // namespace

int run_simulate(const Arguments& arguments) {
  const auto args = parse_simulate(arguments.words);
  if (!args) {
    return report_error(args.error(), arguments.json);
  }
  if (args->help) {
    return print_data(kHelpSimulate) ? kExitGood : kExitSystem;
  }
  const auto exit_code = simulate_world(*args, arguments.json);
  return exit_code ? *exit_code
                   : report_error(exit_code.error(), arguments.json);
}

}  // namespace stillpoint::app
