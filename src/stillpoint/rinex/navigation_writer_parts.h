// From an ephemeris to the lines of its record. Inside this module only.
#pragma once

#include <array>
#include <cstddef>
#include <limits>
#include <optional>
#include <string>
#include <string_view>

#include "stillpoint/gnss/ephemeris.h"
#include "stillpoint/rinex/observation_writer.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::rinex::nav {

// The mark of the tables for a value that is not known.
inline constexpr double kUnknownMark = 0.999999999999e9;
inline constexpr double kUnknownTransmission = 0.9999e9;

// " 1.234567890123E-05": a field of 19 columns with this letter before the
// exponent; blank for NaN. Below 1e-99 it is zero.
std::string field19(double value, char letter);
// The same with four decimals in 12 columns, for header lines.
std::string field12(double value, char letter);
// A number right-aligned, blanks or zeros before it.
std::string aligned(int value, std::size_t width, char filler = ' ');
// "text … LABEL\n" with the label in column 60.
std::string header_text(std::string_view text, std::string_view label);

// A record as a table of fields: row 0 has three (columns 1 to 3, behind the
// time), the others four. NaN is blank.
class RecordText {
 public:
  explicit RecordText(std::size_t rows) : rows_(rows) {
    for (auto& row : cells_) {
      row.fill(std::numeric_limits<double>::quiet_NaN());
    }
  }

  void set(std::size_t row, std::size_t column, double value) {
    cells_[row][column] = value;
  }
  // The fields of one row from a column on.
  template <class... Values>
  void set_from(std::size_t row, std::size_t column, Values... values) {
    (set(row, column++, values), ...);
  }
  // No number has more digits in its exponent than the format.
  [[nodiscard]] bool fits() const;
  // All lines; `head` stands before the first fields.
  [[nodiscard]] std::string text(std::string_view head, Version version) const;

 private:
  static constexpr std::size_t kMaxRows = 10;
  std::size_t rows_;
  std::array<std::array<double, 4>, kMaxRows> cells_{};
};

double version_number(Version version);

// Satellite and time of a record's first line; nothing where the version has
// too few digits for the instant. `name` is empty for version 4's ION records.
std::optional<std::string> record_head(std::string_view name,
                                       const Calendar& time,
                                       Version version);

// The fields of a set that is_plausible(). Values without a place are counted.
RecordText kepler_record(const KeplerEphemeris& e,
                         Version version,
                         LeftOutValues& left_out);
RecordText state_record(const StateEphemeris& e,
                        Version version,
                        LeftOutValues& left_out);

// Header lines of versions 2.11 and 3.05; `only` as in the options.
std::string ionosphere_lines(const IonosphereParameters& ionosphere,
                             Version version,
                             std::optional<System> only,
                             LeftOutValues& left_out);
// Records of version 4, each with the satellite and the time of its system's
// first set.
std::string ionosphere_records(const NavigationData& data,
                               std::optional<System> only,
                               LeftOutValues& left_out);

}  // namespace stillpoint::rinex::nav
