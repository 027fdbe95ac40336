#include "stillpoint/rtcm/epoch_builder.h"

namespace stillpoint::rtcm {
namespace {

std::size_t place_of(SatId sat) {
  return static_cast<std::size_t>(sat.index());
}

}  // namespace

void EpochBuilder::begin(GnssTime time) {
  for (const SatRows& known : epoch_.satellites) {
    slot_[place_of(known.sat)] = 0;
  }
  epoch_.clear();
  levels_.clear();
  epoch_.time = time;
  started_ = true;
}

void EpochBuilder::satellite(SatId sat, int level) {
  sat_ = sat;
  level_ = level;
  const std::uint16_t slot = slot_[place_of(sat)];
  where_ = slot == 0 ? At::kNew : At::kEarlier;
  if (slot != 0) {
    at_ = slot - 1U;
  }
}

void EpochBuilder::open_satellite() {
  at_ = epoch_.satellites.size();
  epoch_.satellites.push_back(
      {sat_, 0, static_cast<std::uint32_t>(epoch_.observations.size())});
  slot_[place_of(sat_)] = static_cast<std::uint16_t>(at_ + 1);
  where_ = At::kLast;
}

void EpochBuilder::row(const Observation& observation) {
  if (!observation.any()) {
    return;
  }
  if (where_ == At::kEarlier) {
    row_of_known(observation);
    return;
  }
  if (where_ == At::kNew) {
    open_satellite();
  }
  epoch_.observations.push_back(observation);
  levels_.push_back(static_cast<std::uint8_t>(level_));
  ++epoch_.satellites[at_].count;
}

void EpochBuilder::row_of_known(const Observation& observation) {
  SatRows& rows = epoch_.satellites[at_];
  const std::size_t end = rows.first + rows.count;
  for (std::size_t i = rows.first; i < end; ++i) {
    if (epoch_.observations[i].signal == observation.signal) {
      if (levels_[i] < level_) {
        epoch_.observations[i] = observation;
        levels_[i] = static_cast<std::uint8_t>(level_);
      }
      return;
    }
  }
  const auto where = static_cast<std::ptrdiff_t>(end);
  epoch_.observations.insert(epoch_.observations.begin() + where, observation);
  levels_.insert(levels_.begin() + where, static_cast<std::uint8_t>(level_));
  ++rows.count;
  for (std::size_t i = at_ + 1; i < epoch_.satellites.size(); ++i) {
    ++epoch_.satellites[i].first;
  }
}

}  // namespace stillpoint::rtcm
