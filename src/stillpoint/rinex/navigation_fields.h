// Fixed columns of navigation records: numbers, times, and one record as a
// table of fields. Inside this module only.
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/gnss/satellite.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::rinex::nav {

// A numeric field. Blank is a value in its own right: RINEX leaves out what is
// not known, and old files leave out zeros.
struct Number {
  enum class Kind { kBlank, kValue, kBad };
  Kind kind = Kind::kBlank;
  double value = 0;
};

// Exponents by e, E, d or D; anything else than one finite number is kBad.
Number parse_number(std::string_view field);

// Whole number with blanks around it.
std::optional<int> parse_whole(std::string_view field);

// Part of a line; what lies behind its end counts as blank.
std::string_view columns(std::string_view line,
                         std::size_t first,
                         std::size_t count);
bool is_blank(std::string_view text);

// Lines of one record as read, without interpretation.
struct RawRecord {
  static constexpr std::size_t kMaxLines = 10;

  std::string head;                // version 4: "> EPH G01 LNAV"
  std::vector<std::string> lines;  // at most kMaxLines
  std::size_t extra = 0;           // lines beyond those
  std::size_t first_line = 0;      // number of the first one in the file
  bool at_end = false;             // the file ends behind it
};

// Where things stand on the lines of a version.
struct Layout {
  std::size_t satellite_width, year, year_width;
  std::size_t first_value, continuation;
};
const Layout& layout_of(double version);

// Satellite and calendar of a record's first line.
struct RecordHead {
  SatId sat;
  Calendar time;
};
Result<RecordHead> parse_head(std::string_view line,
                              double version,
                              char blank_letter);

// Calendar at the version's columns; nothing when a part is no number.
std::optional<Calendar> parse_calendar(std::string_view line, double version);

// The fields of a record: row 0 has three (columns 1 to 3, behind the time),
// the others four.
class FieldTable {
 public:
  // Reads the first `rows` lines of the record.
  //
  //   errors   kTruncated (too few lines, or the file ends inside the last
  //            field), kBadFormat (not a number)
  static Result<FieldTable> read(const RawRecord& record,
                                 std::size_t rows,
                                 double version);

  // Blank counts as zero.
  [[nodiscard]] double at(std::size_t row, std::size_t column) const {
    return cells_[row][column].value;
  }
  [[nodiscard]] bool has(std::size_t row, std::size_t column) const {
    return cells_[row][column].kind == Number::Kind::kValue;
  }
  [[nodiscard]] double at_or(std::size_t row,
                             std::size_t column,
                             double otherwise) const {
    return has(row, column) ? at(row, column) : otherwise;
  }
  // Rounded; 0 for what no message field can hold.
  [[nodiscard]] int whole(std::size_t row, std::size_t column) const;

 private:
  std::array<std::array<Number, 4>, RawRecord::kMaxLines> cells_{};
};

}  // namespace stillpoint::rinex::nav
