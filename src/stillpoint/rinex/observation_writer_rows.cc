#include "stillpoint/rinex/observation_writer_rows.h"

#include <algorithm>
#include <utility>

#include "stillpoint/rinex/observation_writer_fields.h"

namespace stillpoint::rinex {
namespace {

constexpr std::uint8_t kCommonLli = 3;  // bits that mean one thing everywhere
constexpr std::uint8_t kAllLli = 7;
constexpr std::uint8_t kLastDigit = 9;

constexpr std::array<double Observation::*, 4> kValues{&Observation::code_m,
                                                       &Observation::phase_cyc,
                                                       &Observation::doppler_hz,
                                                       &Observation::cn0_dbhz};

// Index by band and attribute; as many as there are for other characters.
std::size_t signal_index(SignalCode signal, std::size_t count) {
  const bool good = signal.band >= '0' && signal.band <= '9' &&
                    signal.attribute >= 'A' && signal.attribute <= 'Z';
  return good ? static_cast<std::size_t>(signal.band - '0') * 26U +
                    static_cast<std::size_t>(signal.attribute - 'A')
              : count;
}

// The digit that the standard makes of a C/N0; 0 when there is none.
std::uint8_t strength_of(double cn0_dbhz) {
  if (!(cn0_dbhz > 0)) {
    return 0;
  }
  return static_cast<std::uint8_t>(std::clamp(cn0_dbhz / 6, 1.0, 9.0));
}

char flag(std::uint8_t digit) {
  return digit == 0 ? ' ' : static_cast<char>('0' + digit);
}

std::size_t value_count(const Observation& row) {
  return static_cast<std::size_t>(
      std::count_if(kValues.begin(), kValues.end(), [&](auto member) {
        return is_present(row.*member);
      }));
}

std::string named(System system, SignalCode signal, Kind kind) {
  std::string name = type3_name(kind, signal);
  name += " of ";
  name += system_name(system);
  name += ": ";
  return name;
}

}  // namespace

WrittenColumns written_columns(const ObservationHeader& header,
                               Version version) {
  if (version == Version::k211) {
    return version2_columns(header.columns);
  }
  WrittenColumns written;
  for (std::size_t index = 0; index < kSystemCount; ++index) {
    std::vector<Column>& to = written.by_system[index];
    for (const Column& column : header.columns[index]) {
      const bool known =
          column.kind != Kind::kOther && signal_index(column.signal, 0) != 0;
      const bool twice =
          std::any_of(to.begin(), to.end(), [&](const Column& other) {
            return other.kind == column.kind && other.signal == column.signal;
          });
      if (known && !twice) {
        Column& added = to.emplace_back(column);
        added.code = type3_name(column.kind, column.signal);
      }
    }
  }
  return written;
}

RowPlacer::RowPlacer(const ObservationHeader& header,
                     ObservationWriterOptions options)
    : options_(options),
      header_columns_(header.columns),
      columns_(written_columns(header, options.version)) {
  // Bit 2 is anti-spoofing in version 2, BOC tracking later.
  const bool known = header.version > 0;
  const bool old = options.version == Version::k211;
  lli_mask_ = known && (header.version < 3) != old ? kCommonLli : kAllLli;
  for (const System system : kSystems) {
    const auto& columns = columns_.by_system[static_cast<std::size_t>(system)];
    for (std::size_t i = 0; i < columns.size(); ++i) {
      if (columns[i].kind != Kind::kOther) {
        Target& to = target(system, columns[i].signal);
        const auto kind = static_cast<std::size_t>(columns[i].kind);
        to.column[kind] = static_cast<std::int32_t>(i);
        to.units[kind] = 1000 * columns[i].scale;
      }
    }
  }
}

// The signal's characters have been checked.
RowPlacer::Target& RowPlacer::target(System system, SignalCode signal) {
  const std::size_t index = signal_index(signal, kSignals);
  auto& place = target_of_[static_cast<std::size_t>(system)][index];
  if (place == 0) {
    targets_.emplace_back();
    place = static_cast<std::uint16_t>(targets_.size());
  }
  return targets_[place - 1U];
}

void RowPlacer::lose(System system, SignalCode signal, Kind kind) {
  std::uint64_t*& counter =
      target(system, signal).lost[static_cast<std::size_t>(kind)];
  if (counter == nullptr) {
    const auto& listed = header_columns_[static_cast<std::size_t>(system)];
    const bool has_column =
        std::any_of(listed.begin(), listed.end(), [&](const Column& column) {
          return column.kind == kind && column.signal == signal;
        });
    std::string reason;
    if (options_.version == Version::k211 &&
        (has_column || !is_version2_system(system))) {
      reason = version2_loss(listed, system, kind, signal);
    } else {
      reason = named(system, signal, kind);
      reason += "not among the columns of the file";
    }
    counter = &left_out_[reason];
  }
  ++*counter;
}

void RowPlacer::lose_number(System system,
                            SignalCode signal,
                            Kind kind,
                            const char* reason) {
  leave_out(named(system, signal, kind) + reason);
}

void RowPlacer::place_flags(const Observation& row,
                            Kind kind,
                            std::size_t column) {
  char* const flags = flags_ + 2 * column;
  if (kind == Kind::kPhase) {
    std::uint8_t lli = row.lli;
    if (lli > kLastDigit || lli_mask_ != kAllLli) {
      lli &= lli_mask_;
    }
    std::uint8_t strength = row.phase_strength;
    if (strength == 0 && options_.strength_from_cn0) {
      strength = strength_of(row.cn0_dbhz);
    }
    flags[0] = flag(lli);
    flags[1] = flag(std::min(strength, kLastDigit));
  } else if (kind == Kind::kCode) {
    flags[1] = flag(std::min(row.code_strength, kLastDigit));
  }
}

// True when a value was written.
bool RowPlacer::place_row(System system, const Observation& row) {
  const std::size_t index = signal_index(row.signal, kSignals);
  if (index == kSignals) {
    left_out_["values without a signal"] += value_count(row);
    return false;
  }
  const auto place = target_of_[static_cast<std::size_t>(system)][index];
  bool any = false;
  for (std::size_t k = 0; k < kValues.size(); ++k) {
    const double value = row.*kValues[k];
    if (!is_present(value)) {
      continue;
    }
    const auto kind = static_cast<Kind>(k);
    const std::int32_t column =
        place == 0 ? -1 : targets_[place - 1U].column[k];
    if (column < 0) {
      lose(system, row.signal, kind);
      continue;
    }
    const std::int64_t number =
        nearest_units(value, targets_[place - 1U].units[k]);
    if (number > kMaxThousandths || number < kMinThousandths) {
      lose_number(system, row.signal, kind, "does not fit its 14 columns");
    } else if (number == 0) {
      lose_number(
          system, row.signal, kind, "zero, which stands for a missing value");
    } else {
      numbers_[column] = number;
      place_flags(row, kind, static_cast<std::size_t>(column));
      any = true;
    }
  }
  return any;
}

// False for satellites that a file cannot name, or names already.
bool RowPlacer::accept(SatId sat, std::size_t values) {
  if (sat.number < 1 || sat.number > 99) {
    left_out_["satellites without a number of two digits"] += values;
    return false;
  }
  auto& seen = last_seen_[static_cast<std::size_t>(sat.index())];
  if (seen == epoch_number_) {
    left_out_["satellites that come twice in an epoch"] += values;
    return false;
  }
  seen = epoch_number_;
  return true;
}

void RowPlacer::place(const Epoch& epoch, EpochRecord& record) {
  ++epoch_number_;
  record.satellites.clear();
  record.numbers.clear();
  record.flags.clear();
  for (const SatRows& rows : epoch.satellites) {
    const auto system = static_cast<std::size_t>(rows.sat.system);
    const std::size_t columns = columns_.by_system[system].size();
    std::size_t values = 0;
    for (const Observation& row : epoch.rows(rows)) {
      values += value_count(row);
    }
    if (values == 0 || !accept(rows.sat, values)) {
      continue;
    }
    const std::size_t first = record.numbers.size();
    record.numbers.resize(first + columns, kNoNumber);
    record.flags.resize(2 * (first + columns), ' ');
    numbers_ = record.numbers.data() + first;
    flags_ = record.flags.data() + 2 * first;
    bool any = false;
    for (const Observation& row : epoch.rows(rows)) {
      any = place_row(rows.sat.system, row) || any;
    }
    if (!any) {
      record.numbers.resize(first);
      record.flags.resize(2 * first);
      continue;
    }
    const int number = rows.sat.number;
    record.satellites.push_back({rows.sat,
                                 {system_letter(rows.sat.system),
                                  static_cast<char>('0' + number / 10),
                                  static_cast<char>('0' + number % 10)},
                                 first,
                                 columns});
  }
}

}  // namespace stillpoint::rinex
