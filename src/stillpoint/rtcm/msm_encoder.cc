#include "stillpoint/rtcm/msm_encoder.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <optional>

#include "stillpoint/geo/coords.h"
#include "stillpoint/rtcm/epoch_time.h"
#include "stillpoint/rtcm/frame.h"
#include "stillpoint/rtcm/msm_signals.h"

namespace stillpoint::rtcm {
namespace {

constexpr double kLightMsM = kSpeedOfLightMps / 1000;
constexpr double kRoughM = kLightMsM / 1024;  // DF398
constexpr std::int64_t kRoughTop = std::int64_t{kNoWholeMs} * 1024;
constexpr std::uint8_t kChannelUnknown = 15;
constexpr std::int32_t kRoughRateTop = 8191;  // DF399 [m/s]
constexpr std::int32_t kFineRateTop = 16383;  // DF404
constexpr double kFineRateMps = 1e-4;
constexpr unsigned kMostCells = 64;
constexpr std::uint8_t kLockLost = 1, kHalfCycle = 2;

// Units of the fine fields, and how far from zero they reach.
struct Steps {
  double code_m, phase_m, cn0_dbhz;
  std::int32_t code_top, phase_top, cn0_top;
};
constexpr double shifted(double value, unsigned bits) {
  return value / static_cast<double>(std::uint64_t{1} << bits);
}
constexpr Steps kFineSteps{shifted(kLightMsM, 29),
                           shifted(kLightMsM, 31),
                           1.0 / 16,
                           -kNoCode20 - 1,
                           -kNoPhase24 - 1,
                           1023};
constexpr Steps kCoarseSteps{shifted(kLightMsM, 24),
                             shifted(kLightMsM, 29),
                             1.0,
                             -kNoCode15 - 1,
                             -kNoPhase22 - 1,
                             63};
constexpr const Steps& steps_of(int level) {
  return msm_is_fine(level) ? kFineSteps : kCoarseSteps;
}

std::optional<std::int32_t> steps(double value, double step, std::int32_t top) {
  const double n = std::round(value / step);
  if (!(std::abs(n) <= top)) {
    return std::nullopt;
  }
  return static_cast<std::int32_t>(n);
}

// Order of the message numbers.
constexpr std::array<System, kSystemCount> kOrder{System::kGps,
                                                  System::kGlonass,
                                                  System::kGalileo,
                                                  System::kSbas,
                                                  System::kQzss,
                                                  System::kBeidou,
                                                  System::kNavic};

}  // namespace

struct MsmEncoder::Cell {
  unsigned signal = 0;
  Observation row;
  double wavelength_m = 0;
  RawMsmCell raw;
};

struct MsmEncoder::Satellite {
  System system = System::kGps;
  unsigned position = 0;
  double rough_m = 0;
  RawMsmSatellite raw;
  std::vector<Cell> cells;  // by signal number
  [[nodiscard]] std::uint32_t signals() const {
    std::uint32_t mask = 0;
    for (const Cell& cell : cells) {
      mask |= std::uint32_t{1} << (32 - cell.signal);
    }
    return mask;
  }
};

MsmEncoder::Arc& MsmEncoder::arc(System system,
                                 unsigned position,
                                 unsigned signal) {
  auto& table = tables_[static_cast<std::size_t>(system)];
  if (table == nullptr) {
    table = std::make_unique<Table>();
  }
  return (*table)[(position - 1) * std::size_t{32} + signal - 1];
}

std::vector<MsmEncoder::Satellite> MsmEncoder::satellites_of(
    const Epoch& epoch, System system, const GlonassChannels& channels) {
  std::vector<Satellite> satellites;
  for (const SatRows& rows : epoch.satellites) {
    const auto position = msm_satellite_position(rows.sat);
    if (rows.sat.system != system || !position) {
      continue;
    }
    const auto channel = system == System::kGlonass ? channels.of(rows.sat)
                                                    : std::optional<int>();
    Satellite sat;
    sat.system = system;
    sat.position = *position;
    if (system == System::kGlonass) {
      sat.raw.extended =
          channel ? static_cast<std::uint8_t>(*channel + 7) : kChannelUnknown;
    }
    for (const Observation& row : epoch.rows(rows)) {
      const auto number = msm_signal_number(system, row.signal);
      const auto hz = frequency_hz(system, row.signal.band, channel);
      if (!number || !hz) {
        ++left_out_.signals;
        continue;
      }
      sat.cells.push_back({*number, row, kSpeedOfLightMps / *hz, {}});
    }
    std::sort(sat.cells.begin(),
              sat.cells.end(),
              [](const Cell& a, const Cell& b) { return a.signal < b.signal; });
    if (sat.cells.empty()) {
      continue;
    }
    if (!set_reference(sat)) {
      ++left_out_.satellites;
      continue;
    }
    set_fields(sat);
    satellites.push_back(std::move(sat));
  }
  std::sort(satellites.begin(),
            satellites.end(),
            [](const Satellite& a, const Satellite& b) {
              return a.position < b.position;
            });
  return satellites;
}

// The whole number of m/s from which the most of the signals' rates are within
// reach, so that a wild one costs itself only; nothing where none is.
std::optional<std::int16_t> MsmEncoder::common_rate(const Satellite& sat) {
  std::optional<std::int16_t> best;
  int most = 0;
  for (const Cell& middle : sat.cells) {
    const double near_mps = -middle.row.doppler_hz * middle.wavelength_m;
    const auto centre = steps(near_mps, 1, kRoughRateTop - 1);
    for (int whole = centre ? *centre - 1 : 1; centre && whole <= *centre + 1;
         ++whole) {
      int within = 0;
      for (const Cell& cell : sat.cells) {
        const double rate_mps = -cell.row.doppler_hz * cell.wavelength_m;
        within += steps(rate_mps - whole, kFineRateMps, kFineRateTop) ? 1 : 0;
      }
      if (within > most) {
        most = within;
        best = static_cast<std::int16_t>(whole);
      }
    }
  }
  return best;
}

// The range and rate that the cells refer to: the middle of the codes, or
// where there is none a phase that lies near its range.
bool MsmEncoder::set_reference(Satellite& sat) {
  double least = kMissing;
  double most = kMissing;
  double from_phase = kMissing;
  for (const Cell& cell : sat.cells) {
    least = std::fmin(least, cell.row.code_m);
    most = std::fmax(most, cell.row.code_m);
    const Arc& known = arc(sat.system, sat.position, cell.signal);
    if (!is_present(from_phase)) {
      from_phase = (cell.row.phase_cyc + (known.known ? known.shift_cyc : 0)) *
                   cell.wavelength_m;
    }
  }
  const double range = is_present(least) ? (least + most) / 2 : from_phase;
  const double units = std::round(range / kRoughM);
  if (!(units >= 0 && units < static_cast<double>(kRoughTop))) {
    return false;
  }
  const auto rough = static_cast<std::int64_t>(units);
  sat.rough_m = units * kRoughM;
  sat.raw.whole_ms = static_cast<std::uint8_t>(rough / 1024);
  sat.raw.modulo = static_cast<std::uint16_t>(rough % 1024);
  const auto whole_rate = common_rate(sat);
  sat.raw.rough_rate = whole_rate.value_or(kNoRoughRate);
  return true;
}

void MsmEncoder::set_fields(Satellite& sat) {
  const Steps& step = steps_of(options_.level);
  const bool fine = msm_is_fine(options_.level);
  for (Cell& cell : sat.cells) {
    const Observation& row = cell.row;
    const auto code =
        steps(row.code_m - sat.rough_m, step.code_m, step.code_top);
    cell.raw.code = code ? *code : fine ? kNoCode20 : kNoCode15;
    left_out_.values += is_present(row.code_m) && !code ? 1U : 0U;
    set_phase(sat, cell);
    if (is_present(row.cn0_dbhz) && row.cn0_dbhz > 0) {
      const double n = std::round(row.cn0_dbhz / step.cn0_dbhz);
      cell.raw.cn0 = static_cast<std::uint16_t>(
          std::clamp(n, 1.0, static_cast<double>(step.cn0_top)));
    }
    const auto rate =
        sat.raw.rough_rate == kNoRoughRate
            ? std::nullopt
            : steps(-row.doppler_hz * cell.wavelength_m - sat.raw.rough_rate,
                    kFineRateMps,
                    kFineRateTop);
    cell.raw.fine_rate = rate ? static_cast<std::int16_t>(*rate) : kNoFineRate;
    left_out_.values += is_present(row.doppler_hz) && !rate ? 1U : 0U;
  }
}

void MsmEncoder::set_phase(const Satellite& sat, Cell& cell) {
  const Observation& row = cell.row;
  const Steps& step = steps_of(options_.level);
  const bool fine = msm_is_fine(options_.level);
  cell.raw.phase = fine ? kNoPhase24 : kNoPhase22;
  if (!is_present(row.phase_cyc)) {
    return;
  }
  Arc& arc_of = arc(sat.system, sat.position, cell.signal);
  const auto field = [&] {
    return steps(
        (row.phase_cyc + arc_of.shift_cyc) * cell.wavelength_m - sat.rough_m,
        step.phase_m,
        step.phase_top);
  };
  const bool fresh = !arc_of.known || (row.lli & kLockLost) != 0;
  auto phase = fresh ? std::nullopt : field();
  if (!phase) {
    const double near_m = is_present(row.code_m) ? row.code_m : sat.rough_m;
    arc_of = {
        now_ns_, std::round(near_m / cell.wavelength_m - row.phase_cyc), true};
    phase = field();
  }
  if (!phase) {  // a code that is itself out of the field's reach
    arc_of.known = false;
    ++left_out_.values;
    return;
  }
  const std::int64_t locked_ms = (now_ns_ - arc_of.locked_since_ns) / 1'000'000;
  cell.raw.phase = *phase;
  cell.raw.lock = static_cast<std::uint16_t>(
      fine ? fine_lock_code(locked_ms) : coarse_lock_code(locked_ms));
  cell.raw.half_cycle = (row.lli & kHalfCycle) != 0;
}

std::vector<RawMsm> MsmEncoder::messages_of(std::vector<Satellite> satellites,
                                            System system,
                                            std::uint32_t epoch_field) {
  std::vector<RawMsm> messages;
  for (std::size_t first = 0; first < satellites.size();) {
    std::uint32_t signals = 0;
    std::size_t end = first;
    while (end < satellites.size()) {
      const std::uint32_t with = signals | satellites[end].signals();
      if ((end - first + 1) * static_cast<std::size_t>(std::popcount(with)) >
          kMostCells) {
        break;
      }
      signals = with;
      ++end;
    }
    RawMsm& m = messages.emplace_back();
    m.type = static_cast<std::uint16_t>(msm_number({system, options_.level}));
    m.station_id = static_cast<std::uint16_t>(options_.station_id);
    m.epoch = epoch_field;
    m.signal_mask = signals;
    unsigned cells = 0;
    unsigned bit = 63;
    for (std::size_t i = first; i < end; ++i) {
      const Satellite& sat = satellites[i];
      m.satellite_mask |= std::uint64_t{1} << (64 - sat.position);
      m.satellites[i - first] = sat.raw;
      const std::uint32_t own = sat.signals();
      for (std::uint32_t left = signals; left != 0; --bit) {
        const auto lead = static_cast<unsigned>(std::countl_zero(left));
        const std::uint32_t one = std::uint32_t{1} << (31 - lead);
        left &= ~one;
        m.cell_mask |= std::uint64_t{(own & one) != 0 ? 1U : 0U} << bit;
      }
      for (const Cell& cell : sat.cells) {
        m.cells[cells++] = cell.raw;
      }
    }
    first = end;
  }
  return messages;
}

Result<std::vector<RawMsm>> MsmEncoder::encode(
    const Epoch& epoch, const GlonassChannels& channels) {
  if (options_.level < 1 || options_.level > 7 || options_.station_id < 0 ||
      options_.station_id > 4095) {
    return fail(ErrorCode::kOutOfRange,
                "an MSM has a level of 1 to 7 and a station id of 0 to 4095");
  }
  now_ns_ = epoch.time.ns();
  std::vector<RawMsm> messages;
  for (const System system : kOrder) {
    const auto field = msm_epoch_field(system, epoch.time);
    if (!field) {
      return fail(ErrorCode::kOutOfRange,
                  "the epoch is no whole millisecond, which MSM cannot say");
    }
    auto own =
        messages_of(satellites_of(epoch, system, channels), system, *field);
    messages.insert(messages.end(),
                    std::make_move_iterator(own.begin()),
                    std::make_move_iterator(own.end()));
  }
  for (std::size_t i = 0; i + 1 < messages.size(); ++i) {
    messages[i].multiple = true;
  }
  return messages;
}

Result<std::vector<std::vector<std::uint8_t>>> MsmEncoder::encode_frames(
    const Epoch& epoch, const GlonassChannels& channels) {
  auto messages = encode(epoch, channels);
  if (!messages) {
    return fail(std::move(messages.error()));
  }
  std::vector<std::vector<std::uint8_t>> frames;
  frames.reserve(messages->size());
  for (const RawMsm& message : *messages) {
    frames.push_back(make_frame(encode_msm(message)));
  }
  return frames;
}

}  // namespace stillpoint::rtcm
