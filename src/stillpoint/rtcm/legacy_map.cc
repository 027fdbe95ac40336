#include "stillpoint/rtcm/legacy_map.h"

#include <array>
#include <cstdint>
#include <string_view>

#include "stillpoint/rtcm/legacy_units.h"

namespace stillpoint::rtcm {
namespace {

// Segments of the lock table: seconds = step * indicator - offset.
struct LockSegment {
  unsigned first = 0;
  int step = 1;
  int offset = 0;
};
constexpr std::array kLockSegments{LockSegment{0, 1, 0},
                                   LockSegment{24, 2, 24},
                                   LockSegment{48, 4, 120},
                                   LockSegment{72, 8, 408},
                                   LockSegment{96, 16, 1176},
                                   LockSegment{120, 32, 3096}};
constexpr unsigned kLockTop = 127;
constexpr int kLockTopS = 937;

int lock_start_s(unsigned indicator) {
  if (indicator >= kLockTop) {
    return kLockTopS;
  }
  const LockSegment* segment = &kLockSegments.front();
  for (const LockSegment& s : kLockSegments) {
    if (s.first <= indicator) {
      segment = &s;
    }
  }
  return segment->step * static_cast<int>(indicator) - segment->offset;
}

std::optional<SatId> gps_satellite(unsigned number) {
  const int n = static_cast<int>(number);
  if (n >= 1 && n <= kLastGps) {
    return SatId{System::kGps, static_cast<std::uint8_t>(n)};
  }
  if (n >= kFirstSbas && n <= kLastSbas) {
    return SatId{System::kSbas, static_cast<std::uint8_t>(n - kSbasOffset)};
  }
  return std::nullopt;
}

std::optional<SatId> glonass_satellite(unsigned number) {
  if (number < 1 || number > unsigned{kLastGlonass}) {
    return std::nullopt;
  }
  return SatId{System::kGlonass, static_cast<std::uint8_t>(number)};
}

std::optional<int> channel_of(int type, const RawLegacySatellite& s) {
  const int channel = s.channel - kGlonassChannelOffset;
  const bool has_phase = s.l1_phase != kNoLegacyPhase ||
                         (has_legacy_l2(type) && s.l2_phase != kNoLegacyPhase);
  return has_phase && frequency_hz(System::kGlonass, '1', channel)
             ? std::optional(channel)
             : std::nullopt;
}

std::optional<SignalCode> l2_signal(System system, unsigned indicator) {
  constexpr std::string_view kGpsLetters = "XPDW";
  constexpr std::string_view kGlonassLetters = "CP";
  const std::string_view letters =
      system == System::kGlonass ? kGlonassLetters : kGpsLetters;
  if (indicator >= letters.size()) {
    return std::nullopt;
  }
  return SignalCode{'2', letters[indicator]};
}

double cn0_dbhz(unsigned raw) {
  return raw == 0 ? kMissing : raw / kLegacyCn0PerDbhz;
}

void add_row(LegacyRow row, unsigned lock, std::vector<LegacyRow>& rows) {
  if (!is_present(row.observation.code_m) &&
      !is_present(row.observation.phase_cyc)) {
    return;
  }
  row.lock_min_s = legacy_lock_min_s(lock);
  row.lock_below_s = legacy_lock_below_s(lock);
  rows.push_back(row);
}

// `base` names the satellite and its channel.
void add_satellite(int type,
                   const RawLegacySatellite& raw,
                   const LegacyRow& base,
                   std::vector<LegacyRow>& rows) {
  const System system = base.sat.system;
  const bool extended = is_extended_legacy(type);
  // Of the code, its whole milliseconds only where the message has them.
  const double reference_m =
      raw.l1_code / kLegacyCodesPerMetre +
      (extended ? raw.l1_whole * legacy_whole_m(system) : 0);
  const auto phase_cyc = [&](std::int32_t phase, char band) {
    const auto wave_m = wavelength_m(system, band, base.glonass_channel);
    return phase == kNoLegacyPhase || !wave_m
               ? kMissing
               : (reference_m + phase / kLegacyPhasesPerMetre) / *wave_m;
  };

  LegacyRow l1 = base;
  l1.observation.signal = {'1', raw.l1_signal == 0 ? 'C' : 'P'};
  l1.observation.phase_cyc = phase_cyc(raw.l1_phase, '1');
  if (extended && (raw.l1_phase != kNoLegacyPhase || raw.l1_cn0 != 0)) {
    l1.observation.code_m = reference_m;
  }
  l1.observation.cn0_dbhz = extended ? cn0_dbhz(raw.l1_cn0) : kMissing;
  add_row(l1, raw.l1_lock, rows);

  const auto signal = l2_signal(system, raw.l2_signal);
  if (!has_legacy_l2(type) || !signal || system == System::kSbas) {
    return;
  }
  LegacyRow l2 = base;
  l2.observation.signal = *signal;
  l2.observation.phase_cyc = phase_cyc(raw.l2_phase, '2');
  if (extended && raw.l2_code != kNoLegacyCode) {
    l2.observation.code_m = reference_m + raw.l2_code / kLegacyCodesPerMetre;
  }
  l2.observation.cn0_dbhz = extended ? cn0_dbhz(raw.l2_cn0) : kMissing;
  add_row(l2, raw.l2_lock, rows);
}

}  // namespace

void to_rows(const RawLegacyGps& raw, std::vector<LegacyRow>& rows) {
  for (const RawLegacySatellite& s : raw.satellites) {
    const auto sat = gps_satellite(s.satellite);
    // SBAS has no P code: what its indicator 1 means is not known.
    if (!sat || (sat->system == System::kSbas && s.l1_signal != 0)) {
      continue;
    }
    LegacyRow base;
    base.sat = *sat;
    add_satellite(raw.type, s, base, rows);
  }
}

void to_rows(const RawLegacyGlonass& raw, std::vector<LegacyRow>& rows) {
  for (const RawLegacySatellite& s : raw.satellites) {
    const auto sat = glonass_satellite(s.satellite);
    if (!sat) {
      continue;
    }
    LegacyRow base;
    base.sat = *sat;
    base.glonass_channel = channel_of(raw.type, s);
    add_satellite(raw.type, s, base, rows);
  }
}

double legacy_lock_min_s(unsigned indicator) {
  return lock_start_s(indicator);
}

double legacy_lock_below_s(unsigned indicator) {
  return indicator >= kLockTop ? std::numeric_limits<double>::infinity()
                               : lock_start_s(indicator + 1);
}

unsigned legacy_lock_code(double lock_s) {
  unsigned code = 0;
  while (code < kLockTop && lock_start_s(code + 1) <= lock_s) {
    ++code;
  }
  return code;
}

}  // namespace stillpoint::rtcm
