// A small world for the tests of this module.
#pragma once

#include <string>

#include "stillpoint/core/check.h"
#include "stillpoint/simulate/scenario/scenario.h"

namespace stillpoint::simulate::test {

inline constexpr GnssTime kStart =
    GnssTime::from_ns((2421 * 604'800LL + 2 * 86'400LL) * GnssTime::kNsPerS);

// Two hours of one station in a world with these effects alone.
inline Scenario small_world(EffectSet effects = {}) {
  Scenario s;
  s.name = "small";
  s.seed = 7;
  s.start = kStart;
  s.length_s = 7200;
  s.effects = effects;
  ReceiverScenario r;
  r.marker = {0.8255, 0.1553, 512.0};
  r.antenna_height_m = 0.1;
  using Signals = std::vector<SignalCode>;
  r.signals[static_cast<std::size_t>(System::kGps)] =
      Signals{{'1', 'C'}, {'2', 'W'}, {'5', 'Q'}};
  r.signals[static_cast<std::size_t>(System::kGlonass)] =
      Signals{{'1', 'C'}, {'2', 'C'}};
  r.signals[static_cast<std::size_t>(System::kGalileo)] =
      Signals{{'1', 'C'}, {'5', 'Q'}};
  r.signals[static_cast<std::size_t>(System::kBeidou)] =
      Signals{{'2', 'I'}, {'6', 'I'}};
  r.slips_per_hour = 0;
  s.receivers.push_back(r);
  s.ionosphere = quiet_ionosphere(r.marker);
  return s;
}

inline EffectSet only(Effect effect) {
  EffectSet set;
  set.add(effect);
  return set;
}

}  // namespace stillpoint::simulate::test
