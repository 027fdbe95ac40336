#include "stillpoint/app/epoch_pairs.h"

#include <algorithm>
#include <cmath>
#include <optional>

namespace stillpoint::app {
namespace {

std::optional<double> interval_of(const StationEpochs& station) {
  const auto& stated = station.header().interval_s;
  const auto seen = station.interval_s();
  return seen ? seen : (stated && *stated > 0 ? stated : std::nullopt);
}

}  // namespace

double EpochPairs::tolerance_s() const {
  constexpr double kMostS = 0.1;
  double out = kMostS;
  for (const StationEpochs* station : {&here_, &there_}) {
    out = std::min(out, interval_of(*station).value_or(1) / 3);
  }
  return out;
}

Result<bool> EpochPairs::begin() {
  begun_ = true;
  const auto here = here_.next();
  if (!here) {
    return fail(here.error());
  }
  const auto there = there_.next();
  if (!there) {
    return fail(there.error());
  }
  more_here_ = *here;
  more_there_ = *there;
  return true;
}

Result<bool> EpochPairs::end() {
  ended_ = true;
  for (StationEpochs* station : {&here_, &there_}) {
    for (;;) {
      const auto more = station->next();
      if (!more) {
        return fail(more.error());
      }
      if (!*more) {
        break;
      }
    }
  }
  return false;
}

Result<bool> EpochPairs::next() {
  if (!begun_) {
    if (auto begun = begin(); !begun) {
      return begun;
    }
  }
  while (!ended_ && more_here_ && more_there_) {
    const double ahead_s = (here_.epoch().time - there_.epoch().time).s;
    const bool paired = std::abs(ahead_s) < tolerance_s();
    if (paired) {
      pair_.first = here_.epoch();
      pair_.second = there_.epoch();
    }
    if (paired || ahead_s < 0) {
      const auto more = here_.next();
      if (!more) {
        return fail(more.error());
      }
      more_here_ = *more;
    }
    if (paired || ahead_s >= 0) {
      const auto more = there_.next();
      if (!more) {
        return fail(more.error());
      }
      more_there_ = *more;
    }
    if (paired) {
      return true;
    }
  }
  return ended_ ? Result<bool>(false) : end();
}

}  // namespace stillpoint::app
