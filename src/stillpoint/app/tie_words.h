// The words behind `tie` taken apart: those of its own, whose order and pairs
// count, and those that it shares with `locate`.
#pragma once

#include <string>
#include <vector>

#include "stillpoint/core/result.h"

namespace stillpoint::app {

struct MotionWords {
  std::string option;  // "--velocity", "--plate", "--no-motion"
  std::string value;   // empty for --no-motion
};

struct TieWords {
  std::vector<std::vector<std::string>> to;  // files of each --to
  std::vector<std::string> known, frames, ambiguities;
  std::vector<MotionWords> motions;
  std::vector<std::string> shared;  // observations and options of `locate`
};

// A word that begins with a minus sign and a digit is a value.
//
//   errors   kUsage: an option without its value, a file behind a value, an
//            option of `locate` that `tie` does not have
Result<TieWords> split_tie_words(const std::vector<std::string>& words);

}  // namespace stillpoint::app
