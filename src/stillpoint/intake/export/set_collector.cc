#include "stillpoint/intake/export/set_collector.h"

#include <bit>

namespace stillpoint::intake {
namespace {

// Beyond this they come from no sky.
constexpr std::size_t kMostSets = 200'000;

std::uint64_t whole(std::int64_t value) {
  return static_cast<std::uint64_t>(value);
}
std::uint64_t bits(double value) {
  return std::bit_cast<std::uint64_t>(value);
}

}  // namespace

bool SetCollector::is_new(const Key& key) {
  return size() < kMostSets && keys_.insert(key).second;
}

void SetCollector::add(const KeplerEphemeris& e) {
  if (is_new({whole(e.sat.index()),
              whole(static_cast<int>(e.message)),
              whole(e.toe.ns()),
              whole(e.toc.ns()),
              whole(e.iode) << 32U | whole(e.iodc & 0xFFFF),
              e.health,
              bits(e.af0_s),
              bits(e.m0_rad),
              bits(e.group_delay_s[0])})) {
    data_.kepler.push_back(e);
  }
}

void SetCollector::add(const StateEphemeris& e) {
  if (is_new({whole(e.sat.index()),
              whole(static_cast<int>(e.message)),
              whole(e.toe.ns()),
              whole(e.issue),
              whole(e.health),
              whole(e.channel),
              bits(e.clock_s),
              bits(e.position_m.x_m),
              bits(e.velocity_mps.x_m)})) {
    data_.state.push_back(e);
  }
}

}  // namespace stillpoint::intake
