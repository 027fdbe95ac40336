#include "rtcm_fields.h"

#include <algorithm>
#include <bit>

#include "stillpoint/rtcm/msm_signals.h"

namespace stillpoint::outside {

using namespace rtcm;

void Fields::text(const char* count, const char* name, std::string_view bytes) {
  add(count, bytes.size());
  for (const char c : bytes) {
    add(name, static_cast<unsigned>(static_cast<std::uint8_t>(c)));
  }
}

void Fields::bits(const char* name, unsigned value, unsigned count) {
  const std::string stem = std::string(name) + "_";
  for (unsigned i = 0; i < count; ++i) {
    const std::string whole = stem + std::to_string(i + 1);
    const unsigned bit = value >> (count - 1 - i) & 1U;
    put(whole, std::to_string(broken(whole) ? bit + 1 : bit));
  }
  ++count_;
}

void Fields::word(const char* name, std::string value) {
  put(name, broken(name) ? value + "x" : std::move(value));
}

std::string Fields::take() {
  std::string text;
  for (const auto& [name, values] : lines_) {
    text += name;
    for (auto first = values.begin(); first != values.end();) {
      const auto next = std::find_if(
          first, values.end(), [&](const auto& v) { return v != *first; });
      text += " " + *first;
      if (next - first > 1) {
        text += "*" + std::to_string(next - first);
      }
      first = next;
    }
    text += '\n';
  }
  lines_.clear();
  return text;
}

bool Fields::broken(std::string_view name) {
  const bool now = name == break_;
  if (now) {
    break_.clear();
  }
  return now;
}

void Fields::put(std::string_view name, std::string value) {
  for (auto line = lines_.rbegin(); line != lines_.rend(); ++line) {
    if (line->first == name) {
      line->second.push_back(std::move(value));
      return;
    }
  }
  lines_.emplace_back(name, std::vector{std::move(value)});
}

void visit(Fields& out, const RawStationPosition& m) {
  out.add("DF002", m.type);
  out.add("DF003", m.station_id);
  out.add("DF021", m.itrf_year);
  out.add("DF022", m.gps);
  out.add("DF023", m.glonass);
  out.add("DF024", m.galileo);
  out.add("DF141", m.computed);
  out.add("DF025", m.x);
  out.add("DF142", m.single_oscillator);
  out.add("DF001_1", m.reserved);
  out.add("DF026", m.y);
  out.add("DF364", m.quarter_cycle);
  out.add("DF027", m.z);
  if (m.type == 1006) {
    out.add("DF028", m.antenna_height);
  }
}

void visit(Fields& out, const RawAntenna& m) {
  out.add("DF002", m.type);
  out.add("DF003", m.station_id);
  out.text("DF029", "DF030", m.descriptor);
  out.add("DF031", m.setup_id);
  if (m.type != 1007) {
    out.text("DF032", "DF033", m.serial);
  }
  if (m.type == 1033) {
    out.text("DF227", "DF228", m.receiver_type);
    out.text("DF229", "DF230", m.firmware);
    out.text("DF231", "DF232", m.receiver_serial);
  }
}

void visit(Fields& out, const RawSystemParameters& m) {
  out.add("DF002", m.type);
  out.add("DF003", m.station_id);
  out.add("DF051", m.mjd);
  out.add("DF052", m.second_of_day);
  out.add("DF053", m.announcements.size());
  out.add("DF054", m.leap_seconds);
  for (const auto& a : m.announcements) {
    out.add("DF055", a.message);
    out.add("DF056", a.synchronous);
    out.add("DF057", a.interval);
  }
}

void visit(Fields& out, const RawText& m) {
  out.add("DF002", m.type);
  out.add("DF003", m.station_id);
  out.add("DF051", m.mjd);
  out.add("DF052", m.second_of_day);
  out.add("DF138", m.characters);
  out.text("DF139", "DF140", m.bytes);
}

void visit(Fields& out, const RawGlonassBiases& m) {
  constexpr const char* kNames[] = {"DF423", "DF424", "DF425", "DF426"};
  out.add("DF002", m.type);
  out.add("DF003", m.station_id);
  out.add("DF421", m.aligned);
  out.add("DF001_3", m.reserved);
  out.bits("DF422", m.mask, 4);
  for (std::size_t i = 0; i < m.bias.size(); ++i) {
    if ((m.mask & (8U >> i)) != 0) {
      out.add(kNames[i], m.bias[i]);
    }
  }
}

void visit(Fields& out, const RawLegacyGps& m) {
  out.add("DF002", m.type);
  out.add("DF003", m.station_id);
  out.add("DF004", m.tow_ms);
  out.add("DF005", m.more_follows);
  out.add("DF006", m.satellites.size());
  out.add("DF007", m.divergence_free);
  out.add("DF008", m.smoothing);
  for (const RawLegacySatellite& s : m.satellites) {
    out.add("DF009", s.satellite);
    out.add("DF010", s.l1_signal);
    out.add("DF011", s.l1_code);
    out.add("DF012", s.l1_phase);
    out.add("DF013", s.l1_lock);
    if (m.type == 1002 || m.type == 1004) {
      out.add("DF014", s.l1_whole);
      out.add("DF015", s.l1_cn0);
    }
    if (m.type == 1003 || m.type == 1004) {
      out.add("DF016", s.l2_signal);
      out.add("DF017", s.l2_code);
      out.add("DF018", s.l2_phase);
      out.add("DF019", s.l2_lock);
    }
    if (m.type == 1004) {
      out.add("DF020", s.l2_cn0);
    }
  }
}

void visit(Fields& out, const RawLegacyGlonass& m) {
  out.add("DF002", m.type);
  out.add("DF003", m.station_id);
  out.add("DF034", m.day_ms);
  out.add("DF005", m.more_follows);
  out.add("DF035", m.satellites.size());
  out.add("DF036", m.divergence_free);
  out.add("DF037", m.smoothing);
  for (const RawLegacySatellite& s : m.satellites) {
    out.add("DF038", s.satellite);
    out.add("DF039", s.l1_signal);
    out.add("DF040", s.channel);
    out.add("DF041", s.l1_code);
    out.add("DF042", s.l1_phase);
    out.add("DF043", s.l1_lock);
    if (m.type == 1010 || m.type == 1012) {
      out.add("DF044", s.l1_whole);
      out.add("DF045", s.l1_cn0);
    }
    if (m.type == 1011 || m.type == 1012) {
      out.add("DF046", s.l2_signal);
      out.add("DF047", s.l2_code);
      out.add("DF048", s.l2_phase);
      out.add("DF049", s.l2_lock);
    }
    if (m.type == 1012) {
      out.add("DF050", s.l2_cn0);
    }
  }
}

namespace {

// "G05", and "1C" or "-".
void derived(Fields& out, const RawMsm& m, System system) {
  std::vector<std::string> satellites, signals;
  for (unsigned i = 1; i <= 64; ++i) {
    if ((m.satellite_mask >> (64 - i) & 1U) != 0) {
      satellites.push_back(msm_satellite(system, i).text());
      out.word("PRN", satellites.back());
    }
  }
  for (unsigned i = 1; i <= 32; ++i) {
    if ((m.signal_mask >> (32 - i) & 1U) != 0) {
      const std::string code = msm_signal(system, i).text();
      signals.push_back(code.size() == 2 ? code : "-");
    }
  }
  std::uint64_t cells = m.cell_mask;
  for (const std::string& satellite : satellites) {
    for (const std::string& signal : signals) {
      if (cells >> 63 != 0) {
        out.word("CELLPRN", satellite);
        out.word("CELLSIG", signal);
      }
      cells <<= 1;
    }
  }
}

void epoch(Fields& out, std::uint32_t value, System system) {
  switch (system) {
    case System::kGlonass:
      out.add("DF416", value >> 27);
      out.add("DF034", value & 0x7FFFFFFU);
      return;
    case System::kGalileo:
      return out.add("DF248", value);
    case System::kQzss:
      return out.add("DF428", value);
    case System::kBeidou:
      return out.add("DF427", value);
    case System::kNavic:
      return out.add("DF546", value);
    default:
      return out.add("DF004", value);
  }
}

void satellite(Fields& out, const RawMsmSatellite& s, MsmType type) {
  const auto& [whole_ms, extended, modulo, rough_rate] = s;
  if (type.level >= 4) {
    out.add("DF397", whole_ms);
  }
  if (type.level == 5 || type.level == 7) {
    out.add(type.system == System::kGlonass ? "DF419" : "ExtSatInfo", extended);
    out.add("DF399", rough_rate);
  }
  out.add("DF398", modulo);
}

void cell(Fields& out, const RawMsmCell& c, int level) {
  const auto& [code, phase, lock, cn0, fine_rate, half_cycle] = c;
  const bool fine = level >= 6;
  if (level != 2) {
    out.add(fine ? "DF405" : "DF400", code);
  }
  if (level >= 2) {
    out.add(fine ? "DF406" : "DF401", phase);
    out.add(fine ? "DF407" : "DF402", lock);
    out.add("DF420", half_cycle);
  }
  if (level >= 4) {
    out.add(fine ? "DF408" : "DF403", cn0);
  }
  if (level == 5 || level == 7) {
    out.add("DF404", fine_rate);
  }
}

}  // namespace

void visit(Fields& out, const RawMsm& m) {
  const auto& [type,
               station_id,
               time,
               multiple,
               iods,
               reserved,
               clock_steering,
               external_clock,
               smoothing,
               smoothing_interval,
               satellite_mask,
               signal_mask,
               cell_mask,
               satellites,
               cells,
               rest] = m;
  const MsmType what = msm_type(type).value_or(MsmType{});
  out.add("DF002", type);
  out.add("DF003", station_id);
  epoch(out, time, what.system);
  out.add("DF393", multiple);
  out.add("DF409", iods);
  out.add("DF001_7", reserved);
  out.add("DF411", clock_steering);
  out.add("DF412", external_clock);
  out.add("DF417", smoothing);
  out.add("DF418", smoothing_interval);
  out.add("DF394", satellite_mask);
  out.add("DF395", signal_mask);
  const auto places = static_cast<unsigned>(std::popcount(satellite_mask) *
                                            std::popcount(signal_mask));
  out.add("DF396", places == 0 ? 0 : cell_mask >> (64 - places));
  derived(out, m, what.system);
  for (std::size_t i = 0; i < m.satellite_count(); ++i) {
    satellite(out, satellites[i], what);
  }
  for (std::size_t i = 0; i < m.cell_count(); ++i) {
    cell(out, cells[i], what.level);
  }
}

}  // namespace stillpoint::outside
