#include "stillpoint/quality/signal_statistics.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "stillpoint/quality/signal_statistics_parts.h"

namespace stillpoint::quality {
namespace {

// An arc ends with a gap longer than a minute or ten epochs.
constexpr double kLongestGapS = 60;
constexpr double kLongestGapEpochs = 10;
// A step of so many intervals has an epoch missing in it.
constexpr double kGap = 1.5;
// A longer step begins another session; nothing is missed in it.
constexpr double kLongestStepS = 86'400;

}  // namespace

SignalStatistics::SignalStatistics(StatisticsOptions options)
    : options_(std::move(options)) {}
SignalStatistics::~SignalStatistics() = default;
SignalStatistics::SignalStatistics(SignalStatistics&&) noexcept = default;
SignalStatistics& SignalStatistics::operator=(SignalStatistics&&) noexcept =
    default;

std::optional<double> SignalStatistics::interval_s() const {
  return options_.interval_s.value_or(0) > 0 ? options_.interval_s
                                             : ledger_.interval_s();
}

double SignalStatistics::longest_gap_s() const {
  const auto interval = interval_s();
  return interval
             ? std::max(kGap * *interval,
                        std::min(kLongestGapS, kLongestGapEpochs * *interval))
             : kLongestGapS;
}

SignalStatistics::Totals& SignalStatistics::totals_of(SignalId id) {
  auto& totals = totals_[id];
  if (!totals) {
    totals = std::make_unique<Totals>();
  }
  return *totals;
}

void SignalStatistics::add(const Epoch& epoch,
                           const Ecef& position,
                           const OrbitSource& orbits) {
  if (!ledger_.take(epoch.time, std::nullopt).in_order) {
    ++session_.left_out;
    return;
  }
  const bool set_back = session_.last && epoch.time < *session_.last;
  if (epoch.flag == EpochFlag::kPowerFailure || set_back) {
    forget_phases();
  }
  add_missed(epoch.time, position, orbits);
  session_.first = session_.first.value_or(epoch.time);
  session_.last = epoch.time;
  ++session_.epochs;
  expected_.add(epoch.time, position, orbits);
  for (const SatRows& rows : epoch.satellites) {
    take(rows.sat, epoch.rows(rows), epoch.time, orbits);
  }
}

void SignalStatistics::add_missed(GnssTime t,
                                  const Ecef& position,
                                  const OrbitSource& orbits) {
  const auto interval = interval_s();
  if (!session_.last || !interval) {
    return;
  }
  const double step_s = (t - *session_.last).s;
  if (step_s < kGap * *interval || step_s > kLongestStepS) {
    return;
  }
  const auto missed =
      static_cast<std::uint64_t>(std::llround(step_s / *interval)) - 1;
  const auto at_once = static_cast<std::uint64_t>(
      std::max(1.0, std::floor(ExpectedSignals::kRenewS / *interval)));
  for (std::uint64_t done = 0; done < missed;) {
    const Duration since{static_cast<double>(done + 1) * *interval};
    const std::uint64_t count = std::min(at_once, missed - done);
    expected_.add(*session_.last + since, position, orbits, count);
    done += count;
  }
  session_.missed += missed;
}

// The phases are not tracked in the next epoch, which ends their arcs.
void SignalStatistics::forget_phases() {
  for (auto& [sat, satellite] : satellites_) {
    satellite->slips.forget();
    satellite->last.reset();
  }
}

SignalReport SignalStatistics::report() const {
  SignalReport out = session_;
  out.interval_s = interval_s();
  std::map<SignalId, SignalFigures> signals;
  for (const auto& [id, totals] : totals_) {
    signals[id] = {.id = id,
                   .strength = totals->strength.figures(),
                   .multipath = totals->multipath,
                   .noise = totals->noise,
                   .slips = totals->slips,
                   .completeness = {}};
  }
  std::map<System, SystemFigures> systems;
  for (const auto& [sat, satellite] : satellites_) {
    SystemFigures& system = systems[sat.system];
    system.system = sat.system;
    ++system.satellites_seen;
    system.completeness.received += satellite->received;
    system.two_bands.received += satellite->received_two_bands;
    for (const Track& track : satellite->tracks) {
      SignalFigures& signal = signals.at({sat.system, track.signal});
      ++signal.satellites;
      signal.completeness.expected += expected_.epochs(sat);
      signal.completeness.received += track.received;
      MultipathArc open = track.multipath;
      open.close(signal.multipath);
    }
  }
  for (auto& [name, system] : systems) {
    for (std::uint8_t number = 1; number < 100; ++number) {
      const std::uint64_t epochs = expected_.epochs({name, number});
      system.satellites_expected += epochs > 0 ? 1 : 0;
      system.completeness.expected += epochs;
    }
    system.two_bands.expected = system.completeness.expected;
    out.systems.push_back(system);
  }
  for (auto& [id, signal] : signals) {
    out.signals.push_back(signal);
  }
  return out;
}

}  // namespace stillpoint::quality
