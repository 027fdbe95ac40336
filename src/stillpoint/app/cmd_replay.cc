// `stillpoint replay`: a recording out, as a receiver would send it.
#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "stillpoint/app/exit_codes.h"
#include "stillpoint/app/help.h"
#include "stillpoint/app/output.h"
#include "stillpoint/app/player.h"
#include "stillpoint/app/replay_args.h"
#include "stillpoint/app/verbs.h"
#include "stillpoint/report/locate_json.h"

namespace stillpoint::app {
namespace {

std::string document(const ReplayArgs& args,
                     const std::string& where,
                     const PlayCounts& counts) {
  return report::to_text({{"schema_version", report::kSchemaVersion},
                          {"file", args.file},
                          {"to", where},
                          {"bytes", counts.bytes},
                          {"rounds", counts.rounds},
                          {"pieces_dropped", counts.faults.pieces_dropped},
                          {"bytes_dropped", counts.faults.bytes_dropped},
                          {"bits_flipped", counts.faults.bits_flipped},
                          {"stalls", counts.stalls}});
}

std::string summary(const ReplayArgs& args, const PlayCounts& counts) {
  std::string text = fmt::format("played {}: {} bytes, {} times to its end\n",
                                 args.file,
                                 counts.bytes,
                                 counts.rounds);
  const intake::FaultCounts& faults = counts.faults;
  if (args.faults.drop > 0 || args.faults.flip > 0 || args.stall_s > 0) {
    text += fmt::format(
        "on request: {} pieces ({} bytes) dropped, {} bits flipped, {} "
        "stalls\n",
        faults.pieces_dropped,
        faults.bytes_dropped,
        faults.bits_flipped,
        counts.stalls);
  }
  return text;
}

Result<int> replay(const ReplayArgs& args, bool json) {
  net::Loop loop;
  auto outlet = args.to_pty ? net::open_pty_outlet(loop)
                            : net::open_tcp_outlet(loop, args.port);
  if (!outlet) {
    return fail(std::move(outlet.error()));
  }
  loop.on_interrupt([&loop] { loop.stop(); });
  Player player(args, loop, **outlet);
  if (auto started = player.start(); !started) {
    return fail(std::move(started.error()));
  }
  const std::string where = (*outlet)->where();
  const std::string line = "ready: listen to " + where + "\n";
  if (json) {
    print_note(line);
  } else if (!print_data(line)) {
    return kExitSystem;
  }
  loop.run();
  if (player.error()) {
    return fail(*player.error());
  }
  const PlayCounts counts = player.counts();
  return print_data(json ? document(args, where, counts)
                         : summary(args, counts))
             ? kExitGood
             : kExitSystem;
}

}  // namespace

int run_replay(const Arguments& arguments) {
  const auto args = parse_replay(arguments.words);
  if (!args) {
    return report_error(args.error(), arguments.json);
  }
  if (args->help) {
    return print_data(kHelpReplay) ? kExitGood : kExitSystem;
  }
  const auto exit_code = replay(*args, arguments.json);
  return exit_code ? *exit_code
                   : report_error(exit_code.error(), arguments.json);
}

}  // namespace stillpoint::app
