// The options of `simulate`, read and checked.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/rinex/observation_writer.h"
#include "stillpoint/simulate/scenario/scenario.h"

namespace stillpoint::app {

struct SimulateArgs {
  std::string scenario;  // a path, or the name of a shipped one
  // What is written.
  bool rinex = false, rtcm = false, bytes = false, products = false;
  bool terms = false;
  std::string out = ".";
  rinex::Version version = rinex::Version::k305;
  bool hatanaka = false, gzip = false;
  std::vector<std::string> receivers;  // names; empty: all
  std::optional<GnssTime> start, end;
  std::optional<double> interval_s;
  std::optional<std::uint64_t> seed;
  bool only_given = false;
  simulate::EffectSet only, without;
  int msm_level = 7;
  // What is played instead.
  bool plays = false, to_pty = false;
  std::uint16_t port = 0;
  double speed = 1;
  bool help = false;
};

//   errors   kUsage with what is allowed
Result<SimulateArgs> parse_simulate(const std::vector<std::string>& words);

// The scenario that is named, with the changes of the options.
//
//   errors   kIo, and those of parse_scenario; kUsage for a receiver or a span
//            that it does not have
Result<simulate::Scenario> load_scenario(const SimulateArgs& args);

// The numbers of the receivers that are asked for.
std::vector<std::size_t> chosen_receivers(const SimulateArgs& args,
                                          const simulate::Scenario& scenario);

}  // namespace stillpoint::app
