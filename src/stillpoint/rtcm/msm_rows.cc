#include "stillpoint/rtcm/msm_rows.h"

#include <bit>
#include <cmath>

#include "stillpoint/geo/coords.h"
#include "stillpoint/rtcm/msm_signals.h"

namespace stillpoint::rtcm {
namespace {

constexpr double kLightMsM = kSpeedOfLightMps / 1000;
constexpr int kChannelOffset = 7;     // extended information = channel + 7
constexpr unsigned kChannelTop = 13;  // 14 and 15: not known
constexpr std::uint8_t kLockLost = 1, kHalfCycle = 2;

// Everything a level fixes: units of the fine fields and their invalid values.
// Ranges are summed as whole numbers of 2^-31 ms and scaled once.
struct Scales {
  int code_shift, phase_shift;
  std::int32_t no_code, no_phase;
  double cn0_dbhz;
};
constexpr Scales scales_of(int level) {
  return msm_is_fine(level) ? Scales{2, 0, kNoCode20, kNoPhase24, 1.0 / 16}
                            : Scales{7, 2, kNoCode15, kNoPhase22, 1.0};
}
constexpr int kRoughShift = 21;  // 2^-10 ms to 2^-31 ms
constexpr double kUnitM = kLightMsM / 2147483648.0;

// The signals of a message's mask, in order.
struct Signals {
  unsigned count = 0;
  std::array<std::uint8_t, 32> number{};
  std::array<SignalCode, 32> code{};
  std::array<double, 32> per_m{};  // cycles per metre, 0 unknown
};

Signals signals_of(const RawMsm& msm, System system) {
  Signals signals;
  for (std::uint32_t mask = msm.signal_mask; mask != 0;) {
    const auto number = static_cast<unsigned>(std::countl_zero(mask)) + 1;
    mask &= ~(std::uint32_t{1} << (32 - number));
    const unsigned i = signals.count++;
    signals.number[i] = static_cast<std::uint8_t>(number);
    signals.code[i] = msm_signal(system, number);
  }
  return signals;
}

void set_frequencies(Signals& signals,
                     System system,
                     std::optional<int> channel) {
  for (unsigned i = 0; i < signals.count; ++i) {
    const auto hz = signals.code[i].empty()
                        ? std::nullopt
                        : frequency_hz(system, signals.code[i].band, channel);
    signals.per_m[i] = hz ? *hz / kSpeedOfLightMps : 0;
  }
}

struct Message {
  const RawMsm& raw;
  System system;
  int level;
  Scales scales;
};

Observation row_of(const Message& m,
                   const RawMsmSatellite& sat,
                   const RawMsmCell& cell,
                   SignalCode signal,
                   double per_m) {
  Observation row;
  row.signal = signal;
  const bool whole = msm_has_whole_ms(m.level);
  const bool range = !whole || sat.whole_ms != kNoWholeMs;
  const std::int64_t rough =
      ((whole ? std::int64_t{sat.whole_ms} << 10 : 0) + sat.modulo)
      << kRoughShift;
  if (msm_has_code(m.level) && whole && range &&
      cell.code != m.scales.no_code) {
    const std::int64_t fine =
        std::int64_t{cell.code} * (1 << m.scales.code_shift);
    row.code_m = static_cast<double>(rough + fine) * kUnitM;
  }
  if (msm_has_phase(m.level) && range && cell.phase != m.scales.no_phase &&
      per_m > 0) {
    const std::int64_t fine =
        std::int64_t{cell.phase} * (1 << m.scales.phase_shift);
    row.phase_cyc = static_cast<double>(rough + fine) * kUnitM * per_m;
  }
  if (msm_has_rates(m.level) && sat.rough_rate != kNoRoughRate &&
      cell.fine_rate != kNoFineRate && per_m > 0) {
    row.doppler_hz = -(sat.rough_rate + cell.fine_rate * 1e-4) * per_m;
  }
  if (msm_has_cn0(m.level) && cell.cn0 != 0) {
    row.cn0_dbhz = cell.cn0 * m.scales.cn0_dbhz;
  }
  return row;
}

void learn_channel(const RawMsmSatellite& sat,
                   SatId id,
                   GlonassChannels& channels) {
  if (sat.extended <= kChannelTop) {
    channels.set(id, sat.extended - kChannelOffset);
  }
}

}  // namespace

bool LockMemory::lost(System system,
                      unsigned satellite,
                      unsigned signal,
                      GnssTime time,
                      LockRange lock) {
  auto& table = tables_[static_cast<std::size_t>(system)];
  if (table == nullptr) {
    table = std::make_unique<Table>();
  }
  Last& last = (*table)[(satellite - 1) * std::size_t{32} + signal - 1];
  const std::int64_t now_ns = time.ns() - moved_ns_;
  const std::int64_t elapsed_ns = now_ns - last.time_ns;
  const bool known = last.at_least_ms >= 0 && elapsed_ns > 0;
  const bool gone =
      known &&
      may_have_lost_lock(last.at_least_ms, lock, elapsed_ns / 1'000'000);
  last = {now_ns, lock.at_least_ms};
  return gone;
}

void append_rows(const RawMsm& msm,
                 EpochBuilder& epoch,
                 LockMemory& locks,
                 GlonassChannels& channels) {
  const auto type = msm_type(msm.type);
  if (!type) {
    return;
  }
  const Message m{msm, type->system, type->level, scales_of(type->level)};
  const bool glonass = m.system == System::kGlonass;
  Signals signals = signals_of(msm, m.system);
  if (!glonass) {
    set_frequencies(signals, m.system, std::nullopt);
  }
  std::uint64_t sat_mask = msm.satellite_mask;
  std::uint64_t cell_mask = msm.cell_mask;
  unsigned cell = 0;
  for (unsigned s = 0; sat_mask != 0; ++s) {
    const auto position = static_cast<unsigned>(std::countl_zero(sat_mask)) + 1;
    sat_mask &= ~(std::uint64_t{1} << (64 - position));
    const RawMsmSatellite& sat = msm.satellites[s];
    const SatId id = msm_satellite(m.system, position);
    if (glonass) {
      if (msm_has_rates(m.level)) {
        learn_channel(sat, id, channels);
      }
      set_frequencies(signals, m.system, channels.of(id));
    }
    epoch.satellite(id, m.level);
    for (unsigned i = 0; i < signals.count; ++i) {
      const bool present = cell_mask >> 63 != 0;
      cell_mask <<= 1;
      if (!present) {
        continue;
      }
      const RawMsmCell& c = msm.cells[cell++];
      if (signals.code[i].empty()) {
        continue;
      }
      Observation row = row_of(m, sat, c, signals.code[i], signals.per_m[i]);
      if (is_present(row.phase_cyc)) {
        const LockRange lock = msm_is_fine(m.level) ? fine_lock_range(c.lock)
                                                    : coarse_lock_range(c.lock);
        if (locks.lost(
                m.system, position, signals.number[i], epoch.time(), lock)) {
          row.lli |= kLockLost;
        }
        if (c.half_cycle) {
          row.lli |= kHalfCycle;
        }
      }
      epoch.row(row);
    }
  }
}

}  // namespace stillpoint::rtcm
