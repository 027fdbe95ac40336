// Whether the two ends of a tie are one receiver after all: files of other
// names, versions or formats with the same observations in them.
#pragma once

#include <string>

#include "stillpoint/core/result.h"
#include "stillpoint/gnss/epoch.h"

namespace stillpoint::app {

// Two receivers never measure the same: their codes differ by decimetres of
// noise, and their phases by any fraction of a cycle.
class SameObservations {
 public:
  void add(const Epoch& here, const Epoch& there);

  // After the last epoch.
  //
  //   path     of a file there, for the message
  //   errors   kMixedInput when most of what both have is the same
  [[nodiscard]] Status check(const std::string& path) const;

 private:
  long long compared_ = 0, same_ = 0;
};

}  // namespace stillpoint::app
