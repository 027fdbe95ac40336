// Columns and instants of SINEX lines. Inside products only.
#pragma once

#include <cstddef>
#include <optional>
#include <string_view>

#include "stillpoint/aids/site_solution.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::products {

// An instant of the file, or nothing for "00:000:00000".
struct SinexInstant {
  std::optional<GnssTime> time;
};

// "24:184:86382" or "2024:184:86382": year, day of year, second of day, in UTC
// (from memory of the format). Years of two digits up to 50 are after 2000.
// Nothing for what is no such instant.
std::optional<SinexInstant> to_sinex_instant(std::string_view text);

// One line. Its columns are those of years with two digits, counted from 0; an
// instant with a year of four digits moves all that follow.
class SinexLine {
 public:
  explicit SinexLine(std::string_view line) : line_(line) {}

  // Columns [from, to) without blanks at both ends.
  [[nodiscard]] std::string_view text(std::size_t from, std::size_t to) const;
  // The same with the blanks at the left.
  [[nodiscard]] std::string_view left(std::size_t from, std::size_t to) const;
  // The instant that begins in a column.
  std::optional<SinexInstant> instant(std::size_t from);
  // Site, point and solution.
  void site(SiteSpan& into) const;
  // Two instants, the first from a column on; false for what is none, and for
  // an end before the begin.
  bool span(std::size_t from,
            std::optional<GnssTime>& begin,
            std::optional<GnssTime>& end);

 private:
  std::string_view line_;
  std::size_t moved_ = 0;
};

}  // namespace stillpoint::products
