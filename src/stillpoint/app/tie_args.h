// The options of `tie`, read and checked.
#pragma once

#include <string>
#include <vector>

#include "stillpoint/app/locate_args.h"
#include "stillpoint/core/result.h"
#include "stillpoint/solve/known_station.h"

namespace stillpoint::app {

// A station whose coordinate is known: one --to with its --known.
struct TieTarget {
  std::vector<std::string> files;  // in time order
  std::string typed;               // of --known, as it was typed
  solve::KnownCoordinate known;
  solve::KnownMotion motion;
};

struct TieArgs {
  // What `tie` has in common with `locate`: the observations here, products,
  // span, outputs. Its method is that of an absolute position of a known
  // station, should one be needed as evidence.
  LocateArgs common;
  bool integers = true;  // false: --ambiguities float
  std::vector<TieTarget> to;
};

//   words    what stood behind `tie`, without --json
//   errors   kUsage with the option, what is allowed and the remedy
Result<TieArgs> parse_tie(const std::vector<std::string>& words);

}  // namespace stillpoint::app
