#include "stillpoint/simulate/sky/satellite.h"

#include <algorithm>
#include <cmath>

namespace stillpoint::simulate {

double SatelliteClock::at_s(double t_s) const {
  const double line = offset_s + drift_s_per_s * t_s;
  if (walk_s.size() < 2) {
    return line;
  }
  const double last = static_cast<double>(walk_s.size() - 2);
  const double at = std::clamp((t_s - walk_from_s) / kNodeS, 0.0, last + 1);
  const double floor = std::min(std::floor(at), last);
  const auto i = static_cast<std::size_t>(floor);
  return line + walk_s[i] + (at - floor) * (walk_s[i + 1] - walk_s[i]);
}

const SignalBias* Satellite::find(SignalCode signal) const {
  for (const SignalBias& bias : signals) {
    if (bias.signal == signal) {
      return &bias;
    }
  }
  return nullptr;
}

double reference_delay_m(const Satellite& satellite,
                         const ClockReference& reference) {
  const SignalBias* first = satellite.find(reference.first);
  if (first == nullptr) {
    return 0;
  }
  if (reference.second.empty()) {
    return first->code_m;
  }
  const SignalBias* second = satellite.find(reference.second);
  if (second == nullptr) {
    return 0;
  }
  const double f1 = first->frequency_hz * first->frequency_hz;
  const double f2 = second->frequency_hz * second->frequency_hz;
  return (f1 * first->code_m - f2 * second->code_m) / (f1 - f2);
}

}  // namespace stillpoint::simulate
