#include "stillpoint/quality/signal_watch.h"

#include <algorithm>
#include <cmath>

namespace stillpoint::quality {
namespace {

constexpr std::uint8_t kLockLost = 1;  // Observation::lli
constexpr double kStaleS = 60;
constexpr double kMinuteS = 60;

std::string name_of(const char* quantity, System system) {
  return std::string(quantity) + "." + system_letter(system);
}

}  // namespace

SignalWatch::Signal* SignalWatch::find(Id id) {
  const auto known = signals_.find(id);
  if (known != signals_.end()) {
    return &known->second;
  }
  if (!is_known_signal(id.system, id.code)) {
    return nullptr;
  }
  Signal& signal = signals_[id];
  signal.state.system = id.system;
  signal.state.signal = id.code;
  const std::string code = "." + id.code.text();
  signal.cn0_name = name_of("cn0_mean_dbhz", id.system) + code;
  signal.slips_name = name_of("slips_count", id.system) + code;
  return &signal;
}

void SignalWatch::gather(const Epoch& epoch) {
  satellites_.fill(0);
  for (auto& [id, signal] : signals_) {
    signal.rows = signal.slips = signal.strengths = 0;
    signal.strength_sum_dbhz = 0;
  }
  for (const SatRows& rows : epoch.satellites) {
    const auto system = static_cast<std::size_t>(rows.sat.system);
    ++satellites_[system];
    seen_[system] = true;
    for (const Observation& row : epoch.rows(rows)) {
      Signal* signal = find({rows.sat.system, row.signal});
      if (signal == nullptr) {
        continue;
      }
      ++signal->rows;
      if (is_present(row.phase_cyc)) {
        signal->state.has_phase = true;
        signal->slips += (row.lli & kLockLost) != 0 ? 1 : 0;
      }
      if (std::isfinite(row.cn0_dbhz)) {
        ++signal->strengths;
        signal->strength_sum_dbhz += row.cn0_dbhz;
        signal->strength.add(epoch.time, row.cn0_dbhz);
      }
    }
  }
}

void SignalWatch::settle(GnssTime t) {
  rows_.add("epochs_received_count", t, 1);
  for (const System system : kSystems) {
    const auto i = static_cast<std::size_t>(system);
    if (seen_[i]) {
      rows_.add(name_of("satellites_count", system), t, satellites_[i]);
    }
  }
  for (auto& [id, signal] : signals_) {
    signal.state.satellites = signal.rows;
    if (signal.rows == 0) {
      continue;
    }
    signal.state.observations += static_cast<std::uint64_t>(signal.rows);
    signal.state.slips += static_cast<std::uint64_t>(signal.slips);
    rows_.add(signal.slips_name, t, signal.slips);
    if (signal.strengths > 0) {
      rows_.add(
          signal.cn0_name, t, signal.strength_sum_dbhz / signal.strengths);
    }
  }
}

// Evenly between the two epochs, minute by minute.
void SignalWatch::add_missed(const EpochLedger::Entry& entry, GnssTime t) {
  const double step_s =
      (t - entry.before).s / static_cast<double>(entry.missed + 1);
  std::uint64_t done = 0;
  for (GnssTime minute = minute_of(entry.before); done < entry.missed;
       minute = minute + Duration{kMinuteS}) {
    const double until_s = (minute - entry.before).s + kMinuteS;
    // The k-th lies k steps behind the epoch before; one on the border belongs
    // to the next minute.
    const double before_end = std::ceil(until_s / step_s - 1e-9) - 1;
    const auto so_far = std::min(
        entry.missed, static_cast<std::uint64_t>(std::max(0.0, before_end)));
    if (so_far > done) {
      rows_.add("epochs_missed_count", minute, 1, so_far - done);
      done = so_far;
    }
  }
}

void SignalWatch::add(const Epoch& epoch, std::optional<GnssTime> received) {
  const EpochLedger::Entry entry = ledger_.take(epoch.time, received);
  if (!entry.in_order) {
    return;
  }
  add_missed(entry, epoch.time);
  gather(epoch);
  settle(epoch.time);
}

SignalSnapshot SignalWatch::snapshot(std::optional<GnssTime> now) const {
  SignalSnapshot s;
  s.epochs = ledger_.counts();
  s.interval_s = ledger_.interval_s();
  s.last = ledger_.last();
  s.minute_rows_lost = rows_.lost();
  const auto received = ledger_.last_received();
  if (now && received) {
    s.age_s = std::max(0.0, (*now - *received).s);
  }
  const bool fresh = s.last && !(s.age_s && *s.age_s > kStaleS);
  if (fresh) {
    s.satellites = satellites_;
  }
  for (const auto& [id, signal] : signals_) {
    SignalState state = signal.state;
    const auto strength = fresh ? signal.strength.up_to(*s.last) : std::nullopt;
    if (strength) {
      state.cn0_mean_dbhz = strength->mean_dbhz;
      state.cn0_min_dbhz = strength->min_dbhz;
    }
    state.satellites = fresh ? state.satellites : 0;
    s.signals.push_back(state);
  }
  return s;
}

void SignalWatch::move(int weeks) {
  ledger_.move(weeks);
  rows_.move(weeks);
  for (auto& [id, signal] : signals_) {
    signal.strength.move(weeks);
  }
}

}  // namespace stillpoint::quality
