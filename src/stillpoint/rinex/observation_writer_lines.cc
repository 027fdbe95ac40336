#include "stillpoint/rinex/observation_writer_lines.h"

#include <algorithm>
#include <cstring>

#include "stillpoint/rinex/observation_writer_fields.h"

namespace stillpoint::rinex {
namespace {

constexpr std::size_t kFieldWidth = 16;  // F14.3, I1, I1
constexpr std::size_t kValueWidth = 14;
constexpr std::size_t kFieldsPerLine2 = 5;
constexpr std::size_t kSatellitesPerLine2 = 12;
constexpr std::size_t kListColumn2 = 32;
constexpr std::size_t kClockColumn2 = 68;
constexpr std::size_t kClockColumn3 = 41;
constexpr std::size_t kPicosecondColumn = 57;

// Fields [first, first + count) of the record, blanks at the end left out.
void append_fields(const EpochRecord& record,
                   std::size_t first,
                   std::size_t count,
                   std::string& out) {
  const std::size_t from = out.size();
  out.resize(from + kFieldWidth * count, ' ');
  char* to = out.data() + from;
  const char* flags = record.flags.data() + 2 * first;
  for (std::size_t i = 0; i < count; ++i) {
    const std::int64_t number = record.numbers[first + i];
    if (number != kNoNumber) {
      print_f14_3(to, number);
      std::memcpy(to + kValueWidth, flags, 2);
    }
    to += kFieldWidth;
    flags += 2;
  }
  trim_end(out, from);
}

}  // namespace

void append_epoch2(const EpochRecord& record, std::string& out) {
  const std::size_t from = out.size();
  const auto& satellites = record.satellites;
  out += record.head;
  for (std::size_t i = 0; i < satellites.size(); ++i) {
    if (i > 0 && i % kSatellitesPerLine2 == 0) {
      out += '\n';
      out.append(kListColumn2, ' ');
    }
    out.append(satellites[i].name.data(), satellites[i].name.size());
    // The clock stands behind the first line's satellites.
    const bool first_full =
        i + 1 == std::min(satellites.size(), kSatellitesPerLine2);
    if (first_full && record.clock != kNoNumber) {
      pad(out, from + kClockColumn2);
      static_cast<void>(append_fixed(out, record.clock, 12, 9));
    }
  }
  if (satellites.empty() && record.clock != kNoNumber) {
    pad(out, from + kClockColumn2);
    static_cast<void>(append_fixed(out, record.clock, 12, 9));
  }
  out += '\n';
  for (const auto& satellite : satellites) {
    for (std::size_t at = 0; at < satellite.columns; at += kFieldsPerLine2) {
      append_fields(record,
                    satellite.first + at,
                    std::min(kFieldsPerLine2, satellite.columns - at),
                    out);
      out += '\n';
    }
  }
}

void append_epoch3(const EpochRecord& record, std::string& out) {
  const std::size_t from = out.size();
  out += record.head;
  if (record.clock != kNoNumber) {
    pad(out, from + kClockColumn3);
    static_cast<void>(append_fixed(out, record.clock, 15, 12));
  }
  if (record.picoseconds != 0) {
    pad(out, from + kPicosecondColumn);
    append_padded(out, record.picoseconds, 5);
  }
  out += '\n';
  for (const auto& satellite : record.satellites) {
    out.append(satellite.name.data(), satellite.name.size());
    append_fields(record, satellite.first, satellite.columns, out);
    out += '\n';
  }
}

}  // namespace stillpoint::rinex
