#include "stillpoint/rtcm/legacy_encode.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <span>
#include <utility>

#include "stillpoint/rtcm/epoch_time.h"
#include "stillpoint/rtcm/legacy_map.h"
#include "stillpoint/rtcm/legacy_units.h"

namespace stillpoint::rtcm {
namespace {

constexpr int kMaxStationId = 4095;
constexpr std::size_t kMaxSatellites = 31;
constexpr std::int64_t kMsNs = 1'000'000;
constexpr std::int64_t kMaxOffNs = 500;
constexpr std::int32_t kMaxPhase = 524'287;
constexpr double kMaxApartM = 1e11;  // a double holds 1e-5 m there
constexpr std::int64_t kMaxCode = 8191;
constexpr int kMaxWholeGps = 255, kMaxWholeGlonass = 127;
constexpr double kMaxCn0 = 255;

// What is the same for all satellites of the message.
struct Job {
  int type = 0;
  const LegacyEncodeOptions* options = nullptr;
  std::string_view l1_letters, l2_letters;
};

std::optional<unsigned> indicator(System system, SignalCode signal) {
  const auto find = [&](std::string_view letters,
                        std::string_view codes) -> std::optional<unsigned> {
    const auto at = letters.find(signal.attribute);
    return at == std::string_view::npos
               ? std::nullopt
               : std::optional(static_cast<unsigned>(codes[at] - '0'));
  };
  if (system == System::kGlonass) {
    return find("CP", "01");
  }
  if (system == System::kSbas) {
    return find("C", "0");
  }
  return signal.band == '1' ? find("CPYW", "0111")
                            : find("CXSLPYDW", "00001123");
}

// The first of the letters that the satellite has a code or a phase of.
const Observation* pick(std::span<const Observation> rows,
                        System system,
                        char band,
                        std::string_view letters) {
  for (const char letter : letters) {
    for (const Observation& row : rows) {
      if (row.signal == SignalCode{band, letter} &&
          indicator(system, row.signal) &&
          (is_present(row.code_m) || is_present(row.phase_cyc))) {
        return &row;
      }
    }
  }
  return nullptr;
}

bool has_code(const Observation* row) {
  return row != nullptr && is_present(row->code_m);
}
bool has_phase(const Observation* row) {
  return row != nullptr && is_present(row->phase_cyc);
}

// DF012 and its like; the value for "not measured" where a phase is so far
// away that a double no longer resolves it.
std::int32_t phase_field(double phase_cyc, double reference_m, double wave_m) {
  double apart_m = phase_cyc * wave_m - reference_m;
  if (!(std::abs(apart_m) < kMaxApartM)) {
    return kNoLegacyPhase;
  }
  const double most_m = kMaxPhase / kLegacyPhasesPerMetre;
  const double roll_m = kLegacyRollOverCyc * wave_m;
  if (std::abs(apart_m) > most_m) {
    const double rolls = std::ceil((std::abs(apart_m) - most_m) / roll_m);
    apart_m -= std::copysign(rolls * roll_m, apart_m);
  }
  return static_cast<std::int32_t>(
      std::lround(apart_m * kLegacyPhasesPerMetre));
}

std::int16_t code_field(double code_m, double reference_m) {
  const double units =
      std::round((code_m - reference_m) * kLegacyCodesPerMetre);
  return std::abs(units) <= kMaxCode ? static_cast<std::int16_t>(units)
                                     : kNoLegacyCode;
}

std::uint8_t cn0_field(const Observation& row) {
  if (!is_present(row.cn0_dbhz)) {
    return 0;
  }
  const double units = std::round(row.cn0_dbhz * kLegacyCn0PerDbhz);
  return static_cast<std::uint8_t>(std::clamp(units, 0.0, kMaxCn0));
}

std::uint8_t lock_field(const Job& job, SatId sat, SignalCode signal) {
  const auto& lock_s = job.options->lock_s;
  return static_cast<std::uint8_t>(
      lock_s ? legacy_lock_code(lock_s(sat, signal)) : 0);
}

// Splits the reference code into its fields; the code that a reader will see,
// or nothing where it does not fit.
std::optional<double> set_reference(double code_m,
                                    System system,
                                    RawLegacySatellite& raw) {
  const double whole_m = legacy_whole_m(system);
  const double whole = std::floor(code_m / whole_m);
  const int most = system == System::kGlonass ? kMaxWholeGlonass : kMaxWholeGps;
  if (!(whole >= 0 && whole <= most)) {
    return std::nullopt;
  }
  raw.l1_whole = static_cast<std::uint8_t>(whole);
  raw.l1_code = static_cast<std::uint32_t>(
      std::lround((code_m - whole * whole_m) * kLegacyCodesPerMetre));
  return whole * whole_m + raw.l1_code / kLegacyCodesPerMetre;
}

// Fills all but the satellite's number and channel; false where nothing would
// be said.
bool fill(const Job& job,
          SatId sat,
          std::optional<int> channel,
          std::span<const Observation> rows,
          RawLegacySatellite& raw) {
  const Observation* l1 = pick(rows, sat.system, '1', job.l1_letters);
  const Observation* l2 = has_legacy_l2(job.type) && sat.system != System::kSbas
                              ? pick(rows, sat.system, '2', job.l2_letters)
                              : nullptr;
  const Observation* code = has_code(l1) ? l1 : l2;
  if (!has_code(code)) {
    return false;
  }
  const auto reference_m = set_reference(code->code_m, sat.system, raw);
  const auto l1_wave_m = wavelength_m(sat.system, '1', channel);
  if (!reference_m || !l1_wave_m) {
    return false;
  }
  const bool extended = is_extended_legacy(job.type);
  if (!extended) {
    raw.l1_whole = 0;
  }
  raw.l1_phase = kNoLegacyPhase;
  if (code == l1) {
    raw.l1_signal =
        static_cast<std::uint8_t>(*indicator(sat.system, l1->signal));
    if (has_phase(l1)) {
      raw.l1_phase = phase_field(l1->phase_cyc, *reference_m, *l1_wave_m);
      raw.l1_lock = lock_field(job, sat, l1->signal);
    }
    raw.l1_cn0 = extended ? cn0_field(*l1) : std::uint8_t{0};
  }
  const bool says_l1 = raw.l1_phase != kNoLegacyPhase || raw.l1_cn0 != 0;
  if (l2 == nullptr) {
    return says_l1;
  }
  raw.l2_signal = static_cast<std::uint8_t>(*indicator(sat.system, l2->signal));
  if (has_code(l2)) {
    raw.l2_code = code_field(l2->code_m, *reference_m);
  }
  const auto l2_wave_m = wavelength_m(sat.system, '2', channel);
  if (has_phase(l2) && l2_wave_m) {
    raw.l2_phase = phase_field(l2->phase_cyc, *reference_m, *l2_wave_m);
    raw.l2_lock = lock_field(job, sat, l2->signal);
  }
  raw.l2_cn0 = extended ? cn0_field(*l2) : std::uint8_t{0};
  return says_l1 || raw.l2_code != kNoLegacyCode ||
         raw.l2_phase != kNoLegacyPhase;
}

std::optional<std::uint8_t> gps_number(SatId sat) {
  if (sat.system == System::kGps && sat.number >= 1 && sat.number <= kLastGps) {
    return sat.number;
  }
  const int sbas = sat.number + kSbasOffset;
  if (sat.system == System::kSbas && sbas >= kFirstSbas && sbas <= kLastSbas) {
    return static_cast<std::uint8_t>(sbas);
  }
  return std::nullopt;
}

// The epoch's time as a whole millisecond.
Result<GnssTime> whole_ms(GnssTime time) {
  const std::int64_t half = time.ns() < 0 ? -kMsNs / 2 : kMsNs / 2;
  const std::int64_t ms = (time.ns() + half) / kMsNs;
  if (std::abs(time.ns() - ms * kMsNs) > kMaxOffNs) {
    return fail(ErrorCode::kOutOfRange,
                fmt::format("the epoch, {:.7f} s of GPS week {}, is not a "
                            "whole millisecond",
                            time.tow_s(),
                            time.week()));
  }
  return GnssTime::from_ns(ms * kMsNs);
}

// Type and station.
Status check(int type, int first_type, const LegacyEncodeOptions& options) {
  if (type < first_type || type > first_type + 3) {
    return fail(ErrorCode::kUnsupported,
                fmt::format("message {} is not one of {} to {}",
                            type,
                            first_type,
                            first_type + 3));
  }
  if (options.station_id < 0 || options.station_id > kMaxStationId) {
    return fail(ErrorCode::kOutOfRange,
                fmt::format("station id {} is outside [0, {}]",
                            options.station_id,
                            kMaxStationId));
  }
  return ok();
}

Status check_count(std::size_t satellites) {
  if (satellites > kMaxSatellites) {
    return fail(ErrorCode::kOutOfRange,
                fmt::format("{} satellites in one message, at most {}",
                            satellites,
                            kMaxSatellites));
  }
  return ok();
}

}  // namespace

Result<RawLegacyGps> to_raw_legacy_gps(int type,
                                       const Epoch& epoch,
                                       const LegacyEncodeOptions& options) {
  if (auto good = check(type, 1001, options); !good) {
    return fail(std::move(good.error()));
  }
  auto time = whole_ms(epoch.time);
  if (!time) {
    return fail(std::move(time.error()));
  }
  RawLegacyGps raw;
  raw.type = static_cast<std::uint16_t>(type);
  raw.station_id = static_cast<std::uint16_t>(options.station_id);
  raw.tow_ms = static_cast<std::uint32_t>(
      (time->ns() - time->week() * GnssTime::kWeekNs) / kMsNs);
  raw.more_follows = options.more_follows;
  const Job job{type, &options, options.gps_l1, options.gps_l2};
  for (const SatRows& rows : epoch.satellites) {
    const auto number = gps_number(rows.sat);
    RawLegacySatellite s;
    if (number && fill(job, rows.sat, {}, epoch.rows(rows), s)) {
      s.satellite = *number;
      raw.satellites.push_back(s);
    }
  }
  if (auto good = check_count(raw.satellites.size()); !good) {
    return fail(std::move(good.error()));
  }
  return raw;
}

Result<RawLegacyGlonass> to_raw_legacy_glonass(
    int type, const Epoch& epoch, const LegacyEncodeOptions& options) {
  if (auto good = check(type, 1009, options); !good) {
    return fail(std::move(good.error()));
  }
  auto time = whole_ms(epoch.time);
  if (!time) {
    return fail(std::move(time.error()));
  }
  RawLegacyGlonass raw;
  raw.type = static_cast<std::uint16_t>(type);
  raw.station_id = static_cast<std::uint16_t>(options.station_id);
  raw.day_ms = glonass_day_ms(*time).value_or(0);
  raw.more_follows = options.more_follows;
  const Job job{type, &options, options.glonass_l1, options.glonass_l2};
  for (const SatRows& rows : epoch.satellites) {
    const SatId sat = rows.sat;
    if (sat.system != System::kGlonass || sat.number < 1 ||
        sat.number > kLastGlonass || !options.glonass_channel) {
      continue;
    }
    const auto channel = options.glonass_channel(sat);
    RawLegacySatellite s;
    if (channel && fill(job, sat, channel, epoch.rows(rows), s)) {
      s.satellite = sat.number;
      s.channel = static_cast<std::uint8_t>(*channel + kGlonassChannelOffset);
      raw.satellites.push_back(s);
    }
  }
  if (auto good = check_count(raw.satellites.size()); !good) {
    return fail(std::move(good.error()));
  }
  return raw;
}

}  // namespace stillpoint::rtcm
