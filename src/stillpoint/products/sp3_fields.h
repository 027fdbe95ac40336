// Columns of SP3 lines. Inside products only.
#pragma once

#include <optional>
#include <string_view>

#include "stillpoint/core/result.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::products {

// Columns [from, to) without blanks at both ends; a short line has blanks.
std::string_view column(std::string_view line,
                        std::size_t from,
                        std::size_t to);

// A decimal number ("-12.5", ".0"); nothing for anything else, blanks too.
std::optional<double> to_number(std::string_view text);
std::optional<int> to_integer(std::string_view text);

// Date and time from column 3 on, as in the first line and the epoch lines.
std::optional<Calendar> to_epoch(std::string_view line);

// "GPS", "GLO", "GAL", "BDT", "TAI", "UTC", "QZS", "IRN"; "ccc" and blanks
// (version a) mean GPS.
std::optional<TimeScale> to_time_scale(std::string_view text);

}  // namespace stillpoint::products
