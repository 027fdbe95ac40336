#include "stillpoint/intake/export/decimator.h"

#include <cmath>
#include <cstdlib>

namespace stillpoint::intake {
namespace {

constexpr std::uint8_t kLockLost = 1;

}  // namespace

Decimator::Decimator(std::optional<double> interval_s) {
  if (interval_s) {
    interval_ns_ = std::llround(*interval_s * 1e9);
  }
}

bool Decimator::is_due(GnssTime time) {
  const std::int64_t step = *interval_ns_;
  const std::int64_t half = time.ns() + step / 2;
  const std::int64_t number = half / step - (half % step < 0 ? 1 : 0);
  const std::int64_t beside = std::llabs(time.ns() - number * step);
  constexpr auto kBesideNs = static_cast<std::int64_t>(kBesideS * 1e9);
  if (beside > kBesideNs || taken_ == number) {
    return false;
  }
  taken_ = number;
  return true;
}

void Decimator::remember(const Epoch& epoch) {
  for (const SatRows& rows : epoch.satellites) {
    for (const Observation& row : epoch.rows(rows)) {
      if ((row.lli & kLockLost) != 0) {
        lost_.insert({rows.sat, row.signal});
      }
    }
  }
}

bool Decimator::take(Epoch& epoch) {
  if (!interval_ns_) {
    return true;
  }
  if (!is_due(epoch.time)) {
    remember(epoch);
    return false;
  }
  if (lost_.empty()) {
    return true;
  }
  for (const SatRows& rows : epoch.satellites) {
    for (std::size_t i = rows.first; i < rows.first + rows.count; ++i) {
      Observation& row = epoch.observations[i];
      if (is_present(row.phase_cyc) && lost_.erase({rows.sat, row.signal})) {
        row.lli |= kLockLost;
      }
    }
  }
  return true;
}

}  // namespace stillpoint::intake
