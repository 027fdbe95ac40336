// Ephemerides of a period, each distinct set once.
#pragma once

#include <array>
#include <cstdint>
#include <set>

#include "stillpoint/gnss/ephemeris.h"

namespace stillpoint::intake {

// Receivers send a set again and again while it holds.
class SetCollector {
 public:
  void add(const KeplerEphemeris& e);
  void add(const StateEphemeris& e);

  [[nodiscard]] const NavigationData& data() const { return data_; }
  [[nodiscard]] std::size_t size() const {
    return data_.kepler.size() + data_.state.size();
  }
  [[nodiscard]] bool empty() const { return size() == 0; }

 private:
  // What tells two sets apart; the time of sending does not.
  using Key = std::array<std::uint64_t, 9>;
  bool is_new(const Key& key);

  NavigationData data_;
  std::set<Key> keys_;
};

}  // namespace stillpoint::intake
