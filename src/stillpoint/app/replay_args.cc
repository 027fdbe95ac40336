#include "stillpoint/app/replay_args.h"

#include <CLI/CLI.hpp>
#include <cmath>

#include "stillpoint/app/destination.h"
#include "stillpoint/app/epoch_reader.h"
#include "stillpoint/app/option_values.h"

namespace stillpoint::app {
namespace {

constexpr double kLongestStallS = 86'400;
constexpr double kFastest = 1e6;

tl::unexpected<Error> usage(
    std::string what, std::string remedy = "see stillpoint replay --help") {
  return fail(ErrorCode::kUsage, std::move(what), "", std::move(remedy));
}

Status read_destination(const std::string& to, ReplayArgs& args) {
  const auto destination = parse_destination(to, "replay");
  if (!destination) {
    return fail(destination.error());
  }
  args.to_pty = destination->pty;
  args.port = destination->port;
  return ok();
}

}  // namespace

Result<ReplayArgs> parse_replay(const std::vector<std::string>& words) {
  std::vector<std::string> files;
  std::string to, speed, drop, flip, stall, seed;
  ReplayArgs args;
  CLI::App app;
  app.set_help_flag();
  app.add_option("FILE", files)->expected(1, -1);
  app.add_option("--to", to)->take_last();
  app.add_option("--speed", speed)->take_last();
  app.add_flag("--loop", args.loop);
  app.add_option("--drop", drop)->take_last();
  app.add_option("--flip", flip)->take_last();
  app.add_option("--stall", stall)->take_last();
  app.add_option("--seed", seed)->take_last();
  app.add_flag("--help", args.help);
  try {
    app.parse(std::vector<std::string>(words.rbegin(), words.rend()));
  } catch (const CLI::Error& e) {
    return usage(e.what());
  }
  if (args.help) {
    return args;
  }
  if (files.size() != 1) {
    return usage(
        files.empty() ? "replay needs a file" : "replay takes one file",
        "give one recording, and --to tcp:PORT or --to pty");
  }
  const auto input = parse_input(files.front());
  if (!input) {
    return fail(input.error());
  }
  args.file = input->path;
  double seed_number = args.faults.seed;
  for (const Status& status :
       {read_destination(to, args),
        read_number("--speed",
                    speed,
                    0,
                    kFastest,
                    "a factor, 1 for real time, 0 "
                    "for as fast as it is read",
                    args.speed),
        read_number("--drop",
                    drop,
                    0,
                    1,
                    "a share of the frames, 0 to 1, such as "
                    "--drop 0.01",
                    args.faults.drop),
        read_number("--flip",
                    flip,
                    0,
                    1,
                    "a share of the bytes, 0 to 1, such as "
                    "--flip 0.0001",
                    args.faults.flip),
        read_number("--stall",
                    stall,
                    0,
                    kLongestStallS,
                    "seconds of silence, such "
                    "as --stall 5",
                    args.stall_s),
        read_number("--seed",
                    seed,
                    0,
                    4'294'967'295.0,
                    "a whole number",
                    seed_number)}) {
    if (!status) {
      return fail(status.error());
    }
  }
  if (seed_number != std::floor(seed_number)) {
    return usage("--seed '" + seed + "' is no whole number");
  }
  args.faults.seed = static_cast<std::uint32_t>(seed_number);
  return args;
}

}  // namespace stillpoint::app
