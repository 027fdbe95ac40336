#include "stillpoint/rinex/observation_columns.h"

#include <algorithm>

#include "stillpoint/core/check.h"
#include "stillpoint/rinex/field_text.h"

namespace stillpoint::rinex {
namespace {

Kind kind_of(char letter) {
  switch (letter) {
    case 'C':
    case 'P':
      return Kind::kCode;
    case 'L':
      return Kind::kPhase;
    case 'D':
      return Kind::kDoppler;
    case 'S':
      return Kind::kStrength;
    default:
      return Kind::kOther;
  }
}

// Attribute of a C pseudorange of version 2 and of the phases beside it.
char c_attribute(System system, char band) {
  switch (system) {
    case System::kGps:
    case System::kQzss:
      return band == '1' ? 'C' : 'X';
    case System::kGlonass:
      return band == '1' || band == '2' ? 'C' : 'X';
    case System::kSbas:
      return band == '1' ? 'C' : 'I';
    case System::kGalileo:
      return 'X';
    case System::kBeidou:
      return band == '5' || band == '8' ? 'X' : 'I';
    case System::kNavic:
      return 'A';
  }
  return 0;
}

char p_attribute(System system) {
  if (system == System::kGps) {
    return 'W';
  }
  return system == System::kGlonass ? 'P' : '\0';
}

bool has_band(System system, char band) {
  constexpr std::array<std::string_view, kSystemCount> kBands{
      "125", "123", "15678", "125678", "1256", "15", "159"};
  return kBands[static_cast<std::size_t>(system)].find(band) !=
         std::string_view::npos;
}

// Second characters of version 2.12 that name a signal, not a band.
SignalCode signal_of_letter(char letter) {
  switch (letter) {
    case 'A':
      return {'1', 'C'};
    case 'B':
      return {'1', 'X'};
    case 'C':
      return {'2', 'X'};
    case 'D':
      return {'2', 'C'};
    default:
      return {};
  }
}

SignalCode signal_of_type2(System system,
                           std::string_view type,
                           std::span<const std::string> types) {
  const char letter = type[0];
  const char band = type[1];
  if (band >= 'A') {
    return signal_of_letter(band);
  }
  if (!has_band(system, band)) {
    return {};
  }
  const auto listed = [&](char observable) {
    const std::string wanted{observable, band};
    return std::find(types.begin(), types.end(), wanted) != types.end();
  };
  const char p = p_attribute(system);
  if (letter == 'P' && p == 0) {
    return {};
  }
  bool follows_p = letter == 'P';
  if (letter != 'P' && letter != 'C' && p != 0) {
    follows_p =
        band == '2' ? listed('P') || !listed('C') : listed('P') && !listed('C');
  }
  if (follows_p && (band == '1' || band == '2')) {
    return {band, p};
  }
  if (system == System::kBeidou && band == '1') {
    return {'2', 'I'};
  }
  return {band, c_attribute(system, band)};
}

double Observation::*member_of(Kind kind) {
  switch (kind) {
    case Kind::kCode:
      return &Observation::code_m;
    case Kind::kPhase:
      return &Observation::phase_cyc;
    case Kind::kDoppler:
      return &Observation::doppler_hz;
    case Kind::kStrength:
      return &Observation::cn0_dbhz;
    case Kind::kOther:
      break;
  }
  return nullptr;
}

}  // namespace

Column column_of_type3(System system, std::string_view code, double version) {
  Column column;
  column.code = std::string(field::trim(code));
  if (column.code.size() != 3) {
    return column;
  }
  const char letter = column.code[0];
  SignalCode signal{column.code[1], column.code[2]};
  const bool named = signal.band >= '1' && signal.band <= '9' &&
                     signal.attribute >= 'A' && signal.attribute <= 'Z';
  if (!named || letter == 'P') {
    return column;
  }
  const bool is_302 = version > 3.015 && version < 3.025;
  if (is_302 && system == System::kBeidou && signal.band == '1') {
    signal.band = '2';
  }
  column.kind = kind_of(letter);
  if (column.kind != Kind::kOther) {
    column.signal = signal;
  }
  return column;
}

std::vector<Column> columns_of_types2(System system,
                                      std::span<const std::string> types) {
  std::vector<Column> columns;
  columns.reserve(types.size());
  for (const std::string& type : types) {
    Column& column = columns.emplace_back();
    column.code = type;
    const Kind kind = type.size() == 2 ? kind_of(type[0]) : Kind::kOther;
    if (kind == Kind::kOther) {
      continue;
    }
    column.signal = signal_of_type2(system, type, types);
    column.kind = column.signal.empty() ? Kind::kOther : kind;
  }
  return columns;
}

RowPlan make_row_plan(const std::vector<Column>& columns) {
  RowPlan plan;
  for (const Column& column : columns) {
    ColumnPlan& to = plan.columns.emplace_back();
    to.kind = column.kind;
    to.value = member_of(column.kind);
    to.scale = column.scale;
    to.plain = to.value != nullptr && column.scale == 1;
    if (to.value == nullptr) {
      continue;
    }
    auto& rows = plan.blank_rows;
    auto row = std::find_if(rows.begin(), rows.end(), [&](const auto& r) {
      return r.signal == column.signal;
    });
    if (row == rows.end()) {
      STILLPOINT_CHECK(rows.size() < kMaxSignals);
      Observation blank;
      blank.signal = column.signal;
      row = rows.insert(rows.end(), blank);
    }
    to.slot = static_cast<std::uint8_t>(row - rows.begin());
    to.slot_bit = std::uint64_t{1} << to.slot;
  }
  return plan;
}

}  // namespace stillpoint::rinex
