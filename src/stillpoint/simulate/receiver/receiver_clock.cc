#include "stillpoint/simulate/receiver/receiver_clock.h"

#include <cmath>
#include <numbers>

#include "stillpoint/simulate/nature/gauss_markov.h"
#include "stillpoint/simulate/streams.h"

namespace stillpoint::simulate {
namespace {

constexpr double kTurn = 2 * std::numbers::pi;
// A crystal in a box on a roof: its frequency follows the day's warmth.
constexpr double kDailyPull = 4e-8, kDayS = 86'400;
constexpr double kLargestDrift = 3e-7;
constexpr double kJitterS = 1e-10, kJitterLastsS = 60;
constexpr double kSteeredS = 8e-9, kSteeredLastsS = 300;
constexpr double kMillisecondS = 1e-3;

}  // namespace

ReceiverClock::ReceiverClock(const Scenario& scenario,
                             const ReceiverScenario& receiver,
                             std::uint64_t number)
    : kind_(receiver.clock),
      works_(scenario.effects.has(Effect::kReceiverClock)),
      start_(scenario.start),
      key_(sub_key(key_of(scenario.seed, Stream::kReceiverClock), number)) {
  offset_s_ = 2e-4 * random_gaussian(key_, 0);
  drift_ = receiver.clock_drift.value_or(kLargestDrift *
                                         (2 * random_uniform(key_, 1) - 1));
  phase_rad_ = kTurn * random_uniform(key_, 2);
  held_off_s_ = receiver.clock_offset_s;
}

ReceiverClock::Reading ReceiverClock::at(double t_s) const {
  if (!works_) {
    return {};
  }
  const GnssTime t = start_ + Duration{t_s};
  if (kind_ == ClockKind::kSteered) {
    return {held_off_s_ +
                kSteeredS * gauss_markov(sub_key(key_, 3), t, kSteeredLastsS),
            0};
  }
  const double angle = kTurn * t_s / kDayS + phase_rad_;
  Reading r;
  r.offset_s = offset_s_ + drift_ * t_s -
               kDailyPull * kDayS / kTurn * std::cos(angle) +
               kJitterS * gauss_markov(sub_key(key_, 3), t, kJitterLastsS);
  r.rate = drift_ + kDailyPull * std::sin(angle);
  if (kind_ == ClockKind::kMillisecond) {
    r.offset_s -= kMillisecondS * std::round(r.offset_s / kMillisecondS);
  }
  r.offset_s += held_off_s_;
  return r;
}

}  // namespace stillpoint::simulate
