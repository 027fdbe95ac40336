#include "stillpoint/app/tie_same.h"

#include <fmt/format.h>

#include <cmath>

namespace stillpoint::app {
namespace {

// What formats round to: the coarsest steps in use are below these.
constexpr double kSameCodeM = 0.02, kSamePhaseCyc = 0.02;
constexpr long long kFewest = 20;

bool complete(const Observation& o) {
  return is_present(o.code_m) && is_present(o.phase_cyc);
}

// Whole cycles are left out: an encoder may have taken some off.
bool same(const Observation& a, const Observation& b) {
  const double off_cyc = a.phase_cyc - b.phase_cyc;
  return std::abs(a.code_m - b.code_m) < kSameCodeM &&
         std::abs(off_cyc - std::round(off_cyc)) < kSamePhaseCyc;
}

}  // namespace

void SameObservations::add(const Epoch& here, const Epoch& there) {
  for (const SatRows& a : here.satellites) {
    for (const SatRows& b : there.satellites) {
      if (a.sat != b.sat) {
        continue;
      }
      for (const Observation& x : here.rows(a)) {
        for (const Observation& y : there.rows(b)) {
          if (x.signal == y.signal && complete(x) && complete(y)) {
            ++compared_;
            same_ += same(x, y) ? 1 : 0;
          }
        }
      }
    }
  }
}

Status SameObservations::check(const std::string& path) const {
  if (compared_ < kFewest || 2 * same_ < compared_) {
    return ok();
  }
  return fail(
      ErrorCode::kMixedInput,
      fmt::format("{} of {} observations are the same at both ends of the tie, "
                  "to the last digit: they are of one receiver",
                  same_,
                  compared_),
      path,
      "give the observations of the station that is sought first, and those of "
      "another receiver behind --to");
}

}  // namespace stillpoint::app
