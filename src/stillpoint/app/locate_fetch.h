// Product files of `locate --fetch`: which the observations need, and putting
// them beside those that were given.
#pragma once

#include <vector>

#include "stillpoint/app/locate_args.h"
#include "stillpoint/core/result.h"
#include "stillpoint/fetch/fetch.h"
#include "stillpoint/solve/solution.h"

namespace stillpoint::app {

struct FetchedInputs {
  std::vector<fetch::FetchedFile> files;
  // Which quality came from whom, what is missing, what comes later.
  std::vector<solve::Warning> warnings;
};

// Reads the observations' times, brings orbits and clocks, and biases, Earth
// rotation and antennas where there are any, and adds them to `args`; for the
// codes orbits, and clocks and biases where there are any. A kind that was
// given is left as it is, and nobody is asked for it.
//
//   errors   kUsage (no folder to keep files in, or over 31 days), those of
//            the archives' list, of reading observations, and of
//            fetch::fetch(); kNoData when no epoch is in the span
Result<FetchedInputs> fetch_inputs(LocateArgs& args);

// Takes a fetched file that could not be read out of the cache, so that the
// next start asks for it again, and says so in the remedy. Other errors stay as
// they are.
Error forget_unreadable(Error error, const FetchedInputs& fetched);

}  // namespace stillpoint::app
