#include "stillpoint/rinex/header_writer.h"

#include <algorithm>
#include <utility>

#include "stillpoint/rinex/field_text.h"
#include "stillpoint/rinex/observation_writer_fields.h"
#include "stillpoint/rinex/observation_writer_time.h"

namespace stillpoint::rinex {
namespace {

constexpr std::size_t kLabelColumn = 60;
constexpr const char* kShorten = "shorten it, or leave it out";

const char* version_number(Version version) {
  switch (version) {
    case Version::k211:
      return "2.11";
    case Version::k305:
      return "3.05";
    case Version::k402:
      break;
  }
  return "4.02";
}

// The header's letter where it goes with the columns, else what they say.
char system_of(const ObservationHeader& header, const WrittenColumns& columns) {
  char only = 0;
  int count = 0;
  for (const System system : kSystems) {
    if (!columns.by_system[static_cast<std::size_t>(system)].empty()) {
      only = system_letter(system);
      ++count;
    }
  }
  return count == 1 && header.system != 'M' ? only : 'M';
}

bool has_strength(const WrittenColumns& columns) {
  return std::any_of(columns.by_system.begin(),
                     columns.by_system.end(),
                     [](const std::vector<Column>& list) {
                       return std::any_of(
                           list.begin(), list.end(), [](const Column& column) {
                             return column.kind == Kind::kStrength;
                           });
                     });
}

void add_station_lines(const ObservationHeader& header,
                       Version version,
                       HeaderLines& lines) {
  const auto text =
      [&](const std::string& value, std::size_t width, std::string_view name) {
        return lines.text(value, width, name);
      };
  for (const std::string& comment : header.comments) {
    lines.add(text(comment, 60, "a comment"), "COMMENT");
  }
  lines.add(text(header.marker_name, 60, "the marker name"), "MARKER NAME");
  if (!header.marker_number.empty()) {
    lines.add(text(header.marker_number, 20, "the marker number"),
              "MARKER NUMBER");
  }
  if (version != Version::k211) {
    lines.add(text(header.marker_type, 20, "the marker type"), "MARKER TYPE");
  }
  lines.add(text(header.observer, 20, "the observer") +
                text(header.agency, 40, "the agency"),
            "OBSERVER / AGENCY");
  lines.add(text(header.receiver_serial, 20, "the receiver's number") +
                text(header.receiver_type, 20, "the receiver's type") +
                text(header.receiver_version, 20, "the receiver's version"),
            "REC # / TYPE / VERS");
  lines.add(text(header.antenna_serial, 20, "the antenna's number") +
                text(header.antenna_type, 20, "the antenna's type"),
            "ANT # / TYPE");
}

void add_position_lines(const ObservationHeader& header,
                        Version version,
                        HeaderLines& lines) {
  const auto three = [&](double a, double b, double c, std::string_view name) {
    return lines.fixed(a, 14, 4, name) + lines.fixed(b, 14, 4, name) +
           lines.fixed(c, 14, 4, name);
  };
  // Version 2 requires it, and zeros stand for what is not known (common
  // practice, no source); later only fixed stations must have it.
  if (header.approx_position_m || version == Version::k211) {
    const Ecef at = header.approx_position_m.value_or(Ecef{});
    lines.add(three(at.x_m, at.y_m, at.z_m, "the approximate position"),
              "APPROX POSITION XYZ");
  }
  const Enu& delta = header.antenna_delta_enu_m;
  lines.add(three(delta.u_m, delta.e_m, delta.n_m, "the antenna's offset"),
            "ANTENNA: DELTA H/E/N");
}

void add_time_lines(const ObservationHeader& header,
                    Version version,
                    GnssTime first_obs,
                    HeaderLines& lines) {
  const TimeScale scale = written_scale(header, version);
  if (header.interval_s && *header.interval_s >= 0.001) {
    lines.add(lines.fixed(*header.interval_s, 10, 3, "the interval"),
              "INTERVAL");
  }
  lines.add(header_time(first_obs, scale), "TIME OF FIRST OBS");
  if (header.last_obs) {
    lines.add(header_time(*header.last_obs, scale), "TIME OF LAST OBS");
  }
  lines.add(header.clock_offset_applied ? "     1" : "     0",
            "RCV CLOCK OFFS APPL");
}

}  // namespace

void HeaderLines::complain(std::string what) {
  if (!error_) {
    error_ = Error{
        ErrorCode::kOutOfRange, std::move(what), "RINEX header", kShorten};
  }
}

void HeaderLines::add(std::string content, std::string_view label) {
  if (content.size() > kLabelColumn) {
    complain("a line '" + std::string(label) + "' is too long");
  }
  content.resize(kLabelColumn, ' ');
  lines_ += content;
  lines_ += label;
  lines_ += '\n';
}

std::string HeaderLines::text(std::string_view value,
                              std::size_t width,
                              std::string_view name) {
  std::string padded(value);
  if (value.size() > width) {
    complain(std::string(name) + " is longer than " + std::to_string(width) +
             " columns: " + field::quoted(value));
  }
  const bool printable = std::all_of(
      value.begin(), value.end(), [](char c) { return c >= ' ' && c <= '~'; });
  if (!printable) {
    complain(std::string(name) +
             " has a character that is not printable ASCII");
  }
  padded.resize(width, ' ');
  return padded;
}

std::string HeaderLines::fixed(double value,
                               int width,
                               int decimals,
                               std::string_view name) {
  double units = 1;
  for (int i = 0; i < decimals; ++i) {
    units *= 10;
  }
  std::string printed;
  const std::int64_t number = nearest_units(value, units);
  if (number == kNoNumber || !append_fixed(printed, number, width, decimals)) {
    complain(std::string(name) +
             " does not fit its columns: " + std::to_string(value));
    printed.assign(static_cast<std::size_t>(width), ' ');
  }
  return printed;
}

std::string HeaderLines::integer(std::int64_t value,
                                 int width,
                                 std::string_view name) {
  std::string printed;
  if (!append_fixed(printed, value, width, 0)) {
    complain(std::string(name) +
             " does not fit its columns: " + std::to_string(value));
    printed.assign(static_cast<std::size_t>(width), ' ');
  }
  return printed;
}

Result<std::string> HeaderLines::take() {
  if (error_) {
    return fail(*error_);
  }
  return std::move(lines_);
}

Result<std::string> header_text(const ObservationHeader& header,
                                const WrittenColumns& columns,
                                Version version,
                                GnssTime first_obs) {
  if (!scale_name(written_scale(header, version))) {
    return fail(ErrorCode::kOutOfRange,
                "RINEX files cannot be in TAI",
                "RINEX header",
                "give the epochs' scale as one of a satellite system");
  }
  HeaderLines lines;
  std::string first = "     ";
  first += version_number(version);
  pad(first, 20);
  first += "OBSERVATION DATA";
  pad(first, 40);
  first += system_of(header, columns);
  lines.add(std::move(first), "RINEX VERSION / TYPE");
  lines.add(lines.text(header.program, 20, "the program's name") +
                lines.text(header.run_by, 20, "the name of who ran it") +
                lines.text(header.run_date, 20, "the date of the file"),
            "PGM / RUN BY / DATE");
  add_station_lines(header, version, lines);
  add_position_lines(header, version, lines);
  add_signal_lines(header, columns, version, lines);
  // From memory: the line came with version 3.00.
  if (version != Version::k211 && has_strength(columns)) {
    lines.add("DBHZ", "SIGNAL STRENGTH UNIT");
  }
  add_time_lines(header, version, first_obs, lines);
  if (header.leap_seconds) {
    lines.add(lines.integer(*header.leap_seconds, 6, "the leap seconds"),
              "LEAP SECONDS");
  }
  lines.add("", "END OF HEADER");
  return lines.take();
}

Result<std::string> compression_text(const ObservationHeader& header,
                                     Version version) {
  HeaderLines lines;
  std::string first = version == Version::k211 ? "1.0" : "3.0";
  pad(first, 20);
  first += "COMPACT RINEX FORMAT";
  lines.add(std::move(first), "CRINEX VERS   / TYPE");
  std::string made = lines.text(header.program, 20, "the program's name");
  pad(made, 40);
  made += lines.text(header.run_date, 20, "the date of the file");
  lines.add(std::move(made), "CRINEX PROG / DATE");
  return lines.take();
}

}  // namespace stillpoint::rinex
