#include "stillpoint/rinex/navigation_fields.h"

#include <algorithm>
#include <charconv>
#include <cmath>

#include "stillpoint/core/text.h"

namespace stillpoint::rinex::nav {
namespace {

constexpr std::size_t kFieldWidth = 19;

// Columns counted from 0: RINEX 2.11 tables A4, A11, A16; RINEX 3.05 and 4.02
// tables of the navigation messages.
constexpr Layout kVersion2{2, 3, 2, 22, 3};
constexpr Layout kVersion3{3, 4, 4, 23, 4};

// Two-digit years of version 2: 80 .. 99 and 00 .. 79.
int full_year(int year) {
  if (year >= 100) {
    return year;
  }
  return year >= 80 ? 1900 + year : 2000 + year;
}

// True when the line stops inside a field. The last characters of a number
// carry its exponent, so a cut one would be read as another number.
bool is_cut(std::string_view line, std::size_t first, std::size_t count) {
  for (std::size_t i = 0; i < count; ++i) {
    const std::size_t begin = first + i * kFieldWidth;
    if (line.size() > begin && line.size() < begin + kFieldWidth &&
        !is_blank(line.substr(begin))) {
      return true;
    }
  }
  return false;
}

}  // namespace

Number parse_number(std::string_view field) {
  std::string_view text = trim(field);
  if (text.empty()) {
    return {};
  }
  constexpr Number kBad{Number::Kind::kBad, 0};
  std::array<char, 32> buffer{};
  if (text.size() > buffer.size()) {
    return kBad;
  }
  if (text.front() == '+' && text.find('-') != 1) {
    text.remove_prefix(1);
  }
  std::transform(text.begin(), text.end(), buffer.begin(), [](char c) {
    return c == 'D' || c == 'd' || c == 'E' ? 'e' : c;
  });
  const char* const end = buffer.data() + text.size();
  double value = 0;
  const auto [stop, error] = std::from_chars(buffer.data(), end, value);
  // Too small is zero, too large is bad; the library tells no difference.
  const std::string_view copied(buffer.data(), text.size());
  const bool underflow = error == std::errc::result_out_of_range &&
                         copied.find("e-") != copied.npos;
  if (stop != end || (error != std::errc() && !underflow) ||
      !std::isfinite(value)) {
    return kBad;
  }
  return {Number::Kind::kValue, underflow ? 0.0 : value};
}

std::optional<int> parse_whole(std::string_view field) {
  const std::string_view text = trim(field);
  int value = 0;
  const char* const end = text.data() + text.size();
  const auto [stop, error] = std::from_chars(text.data(), end, value);
  if (text.empty() || error != std::errc() || stop != end) {
    return std::nullopt;
  }
  return value;
}

std::string_view columns(std::string_view line,
                         std::size_t first,
                         std::size_t count) {
  return first >= line.size() ? std::string_view{} : line.substr(first, count);
}

bool is_blank(std::string_view text) {
  return trim(text).empty();
}

const Layout& layout_of(double version) {
  return version < 3 ? kVersion2 : kVersion3;
}

std::optional<Calendar> parse_calendar(std::string_view line, double version) {
  const Layout& layout = layout_of(version);
  const auto year = parse_whole(columns(line, layout.year, layout.year_width));
  std::array<std::optional<int>, 4> parts;  // month, day, hour, minute
  std::size_t at = layout.year + layout.year_width;
  for (auto& part : parts) {
    part = parse_whole(columns(line, at, 3));
    at += 3;
  }
  const Number second =
      parse_number(columns(line, at, layout.first_value - at));
  if (!year || !parts[0] || !parts[1] || !parts[2] || !parts[3] ||
      second.kind != Number::Kind::kValue) {
    return std::nullopt;
  }
  Calendar c;
  c.year = version < 3 ? full_year(*year) : *year;
  c.month = *parts[0];
  c.day = *parts[1];
  c.hour = *parts[2];
  c.minute = *parts[3];
  c.second = second.value;
  return c;
}

Result<RecordHead> parse_head(std::string_view line,
                              double version,
                              char blank_letter) {
  const Layout& layout = layout_of(version);
  const std::string_view name = columns(line, 0, layout.satellite_width);
  const std::optional<SatId> sat = parse_satellite(name, blank_letter);
  if (!sat) {
    return fail(ErrorCode::kBadFormat,
                "'" + std::string(name) + "' is not a satellite");
  }
  const std::optional<Calendar> time = parse_calendar(line, version);
  if (!time) {
    return fail(ErrorCode::kBadFormat,
                sat->text() + ": the reference time is not readable");
  }
  return RecordHead{*sat, *time};
}

Result<FieldTable> FieldTable::read(const RawRecord& record,
                                    std::size_t rows,
                                    double version) {
  if (record.lines.size() < rows) {
    return fail(ErrorCode::kTruncated,
                "record has " + std::to_string(record.lines.size()) +
                    " lines instead of " + std::to_string(rows));
  }
  const Layout& layout = layout_of(version);
  FieldTable table;
  for (std::size_t row = 0; row < rows; ++row) {
    const std::string_view line = record.lines[row];
    const std::size_t first =
        row == 0 ? layout.first_value : layout.continuation;
    const std::size_t count = row == 0 ? 3 : 4;
    if (record.at_end && row + 1 == record.lines.size() &&
        is_cut(line, first, count)) {
      return fail(ErrorCode::kTruncated, "the file ends inside a number");
    }
    for (std::size_t i = 0; i < count; ++i) {
      const std::string_view field =
          columns(line, first + i * kFieldWidth, kFieldWidth);
      const Number number = parse_number(field);
      if (number.kind == Number::Kind::kBad) {
        return fail(ErrorCode::kBadFormat,
                    "'" + std::string(field) + "' is not a number (line " +
                        std::to_string(row + 1) + " of the record)");
      }
      table.cells_[row][row == 0 ? i + 1 : i] = number;
    }
  }
  return table;
}

int FieldTable::whole(std::size_t row, std::size_t column) const {
  const double v = at(row, column);
  return std::abs(v) < 1e9 ? static_cast<int>(std::lround(v)) : 0;
}

}  // namespace stillpoint::rinex::nav
