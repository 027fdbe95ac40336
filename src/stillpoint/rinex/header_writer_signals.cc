// Header lines that say what was observed.
#include <array>
#include <cstddef>
#include <utility>

#include "stillpoint/rinex/header_writer.h"
#include "stillpoint/rinex/observation_writer_fields.h"

namespace stillpoint::rinex {
namespace {

// A list of equal items, so many a line: the first line begins with `head`, the
// others with blanks of the same length.
void add_list(const std::string& head,
              const std::vector<std::string>& items,
              std::size_t per_line,
              std::string_view label,
              HeaderLines& lines) {
  std::size_t at = 0;
  do {
    std::string line = at == 0 ? head : std::string(head.size(), ' ');
    for (std::size_t i = 0; i < per_line && at < items.size(); ++i, ++at) {
      line += items[at];
    }
    lines.add(std::move(line), label);
  } while (at < items.size());
}

void add_types2(const WrittenColumns& columns, HeaderLines& lines) {
  std::vector<std::string> items;
  for (const std::string& type : columns.types2) {
    items.push_back("    " + type);
  }
  add_list(lines.integer(static_cast<std::int64_t>(columns.types2.size()),
                         6,
                         "the number of types"),
           items,
           9,
           "# / TYPES OF OBSERV",
           lines);
}

void add_types3(const WrittenColumns& columns, HeaderLines& lines) {
  for (const System system : kSystems) {
    const auto& list = columns.by_system[static_cast<std::size_t>(system)];
    if (list.empty()) {
      continue;
    }
    std::vector<std::string> items;
    for (const Column& column : list) {
      items.push_back(" " + column.code);
    }
    std::string head(1, system_letter(system));
    head += "  ";
    head += lines.integer(
        static_cast<std::int64_t>(list.size()), 3, "the number of types");
    add_list(head, items, 13, "SYS / # / OBS TYPES", lines);
  }
}

// A1,1X,I4,2X,I2,12(1X,A3): one line for each type, which is allowed and
// plain.
void add_scales(const WrittenColumns& columns, HeaderLines& lines) {
  for (const System system : kSystems) {
    for (const Column& column :
         columns.by_system[static_cast<std::size_t>(system)]) {
      if (column.scale == 1) {
        continue;
      }
      std::string line(1, system_letter(system));
      line += ' ';
      line += lines.fixed(column.scale, 4, 0, "a scale factor");
      line += "   1 ";
      line += column.code;
      lines.add(std::move(line), "SYS / SCALE FACTOR");
    }
  }
}

void add_phase_shift(const PhaseShift& shift, HeaderLines& lines) {
  std::string head(1, system_letter(shift.system));
  head += " L";
  head += shift.signal.text();
  head += ' ';
  head += lines.fixed(shift.cycles, 8, 5, "a phase shift");
  if (shift.satellites.empty()) {
    lines.add(std::move(head), "SYS / PHASE SHIFT");
    return;
  }
  head += "  ";
  head += lines.integer(static_cast<std::int64_t>(shift.satellites.size()),
                        2,
                        "the number of satellites of a phase shift");
  std::vector<std::string> items;
  for (const SatId sat : shift.satellites) {
    items.push_back(" " + sat.text());
  }
  add_list(head, items, 10, "SYS / PHASE SHIFT", lines);
}

// Version 3 requires the lines; a letter alone says that the shifts are not
// known (from memory). Version 4 has them no more (from memory: deprecated).
void add_phase_shifts(const ObservationHeader& header,
                      const WrittenColumns& columns,
                      HeaderLines& lines) {
  for (const System system : kSystems) {
    if (columns.by_system[static_cast<std::size_t>(system)].empty()) {
      continue;
    }
    bool any = false;
    for (const PhaseShift& shift : header.phase_shifts) {
      if (shift.system == system && !shift.signal.empty()) {
        add_phase_shift(shift, lines);
        any = true;
      }
    }
    if (!any) {
      lines.add({system_letter(system)}, "SYS / PHASE SHIFT");
    }
  }
}

void add_glonass(const ObservationHeader& header, HeaderLines& lines) {
  std::vector<std::string> channels;
  for (const auto& [sat, channel] : header.glonass_channels) {
    std::string item = sat.text();
    item += ' ';
    item += lines.integer(channel, 2, "a GLONASS channel");
    item += ' ';
    channels.push_back(std::move(item));
  }
  std::string head = lines.integer(static_cast<std::int64_t>(channels.size()),
                                   3,
                                   "the number of GLONASS channels");
  head += ' ';
  add_list(head, channels, 8, "GLONASS SLOT / FRQ #", lines);
  // Blank where nothing is known.
  constexpr std::array<SignalCode, 4> kBiased{
      {{'1', 'C'}, {'1', 'P'}, {'2', 'C'}, {'2', 'P'}}};
  std::string biases;
  for (const SignalCode signal : kBiased) {
    const auto bias = header.glonass_bias_m.find(signal);
    if (bias != header.glonass_bias_m.end()) {
      biases += " C";
      biases += signal.text();
      biases += ' ';
      biases += lines.fixed(bias->second, 8, 3, "a GLONASS bias");
    }
  }
  lines.add(std::move(biases), "GLONASS COD/PHS/BIS");
}

}  // namespace

void add_signal_lines(const ObservationHeader& header,
                      const WrittenColumns& columns,
                      Version version,
                      HeaderLines& lines) {
  if (version == Version::k211) {
    // Full-cycle ambiguities on both bands, as every receiver has them today.
    lines.add("     1     1", "WAVELENGTH FACT L1/2");
    add_types2(columns, lines);
    return;
  }
  add_types3(columns, lines);
  add_scales(columns, lines);
  if (version == Version::k305) {
    add_phase_shifts(header, columns, lines);
  }
  constexpr auto kGlonass = static_cast<std::size_t>(System::kGlonass);
  if (!columns.by_system[kGlonass].empty()) {
    add_glonass(header, lines);
  }
}

}  // namespace stillpoint::rinex
