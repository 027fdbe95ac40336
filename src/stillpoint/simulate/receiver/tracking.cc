#include "stillpoint/simulate/receiver/tracking.h"

#include <cmath>

namespace stillpoint::simulate {
namespace {

constexpr double kReferenceSine = 0.17364817766693;  // of 10 degrees
// A signal that was lost has to come back this much above the least.
constexpr double kHysteresisDb = 2;
constexpr double kLargestAmbiguity = 100'000;
constexpr double kMinuteS = 60;

// Numbers of a signal's own, by the minute or by the second.
enum Part : std::uint64_t { kWhether, kWhen, kHowMuch, kKnown, kStart, kHalf };

}  // namespace

double slip_factor(double elevation_rad) {
  const double ratio =
      kReferenceSine / std::fmax(std::sin(elevation_rad), 0.05);
  return ratio * ratio;
}

void SignalTrack::lock(double t_s, const TrackingRules& rules) {
  const auto at = static_cast<std::uint64_t>(std::llround((t_s + 1e6) * 1e3));
  locked_ = true;
  locked_since_s_ = t_s;
  ambiguity_cyc_ = std::round(
      kLargestAmbiguity * (2 * random_uniform(sub_key(key_, kStart), at) - 1));
  half_cyc_ =
      rules.half_cycle_s > 0 && random_uniform(sub_key(key_, kHalf), at) < 0.5
          ? 0.5
          : 0;
}

double SignalTrack::slips_by_chance(double from_s,
                                    double to_s,
                                    double per_hour,
                                    bool& flagged,
                                    double unflagged_share) const {
  double cycles = 0;
  const auto first = static_cast<std::int64_t>(std::floor(from_s / kMinuteS));
  const auto last = static_cast<std::int64_t>(std::floor(to_s / kMinuteS));
  for (std::int64_t minute = first; minute <= last; ++minute) {
    const auto index = static_cast<std::uint64_t>(minute + 1'000'000);
    if (random_uniform(sub_key(key_, kWhether), index) >=
        per_hour * kMinuteS / 3600) {
      continue;
    }
    const double at_s = (static_cast<double>(minute) +
                         random_uniform(sub_key(key_, kWhen), index)) *
                        kMinuteS;
    if (at_s <= from_s || at_s > to_s) {
      continue;
    }
    // One cycle as likely as ten: the size falls off with its inverse.
    const double size = std::floor(
        std::pow(1000.0, random_uniform(sub_key(key_, kHowMuch), 2 * index)));
    const bool back =
        random_uniform(sub_key(key_, kHowMuch), 2 * index + 1) < 0.5;
    cycles += back ? -size : size;
    flagged = flagged ||
              random_uniform(sub_key(key_, kKnown), index) >= unflagged_share;
  }
  return cycles;
}

SignalTrack::State SignalTrack::next(double t_s,
                                     double cn0_dbhz,
                                     const TrackingRules& rules,
                                     double table_slip_cyc) {
  State s;
  const double needed =
      rules.least_dbhz + (locked_ || !ever_ ? 0 : kHysteresisDb);
  if (cn0_dbhz < needed) {
    locked_ = false;
    return s;
  }
  s.tracked = true;
  if (!locked_) {
    lock(t_s, rules);
    s.slipped = s.flagged = ever_;
    ever_ = true;
  } else {
    bool flagged = table_slip_cyc != 0;
    const double slip_cyc =
        table_slip_cyc +
        slips_by_chance(
            last_s_, t_s, rules.slips_per_hour, flagged, rules.unflagged_share);
    s.slipped = slip_cyc != 0;
    s.flagged = s.slipped && flagged;
    ambiguity_cyc_ += slip_cyc;
  }
  last_s_ = t_s;
  const double locked_s = t_s - locked_since_s_;
  s.half_open = locked_s < rules.half_cycle_s;
  if (!s.half_open && half_cyc_ != 0) {
    // The receiver has found out and says so.
    half_cyc_ = 0;
    s.slipped = s.flagged = true;
  }
  s.phase = true;
  s.ambiguity_cyc = ambiguity_cyc_ + half_cyc_;
  return s;
}

}  // namespace stillpoint::simulate
