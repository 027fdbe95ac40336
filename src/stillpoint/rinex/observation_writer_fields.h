// Numbers to the fixed columns of RINEX text: digits by hand, no streams.
#pragma once

#include <cmath>
#include <cstdint>
#include <limits>
#include <string>
#include <string_view>

namespace stillpoint::rinex {

// Stands for "nothing to print" among whole numbers.
inline constexpr std::int64_t kNoNumber =
    std::numeric_limits<std::int64_t>::min();

// Beyond this a double no longer tells halves apart, and no column holds it.
inline constexpr double kMostUnits = 1e15;

// value * units as the nearest whole number: what printing the double's exact
// decimal value to that many places gives, halves to the even one. kNoNumber
// for a NaN and beyond kMostUnits.
//
//   units   a power of ten, 1 .. 1e12
[[gnu::always_inline]] inline std::int64_t nearest_units(double value,
                                                         double units) {
  const double product = value * units;
  if (!(std::abs(product) < kMostUnits)) {
    return kNoNumber;
  }
  const std::int64_t nearest = std::llrint(product);
  const double below = static_cast<double>(nearest) - product;
  // Only a product that was itself rounded to a half can lie on the other side
  // of it.
  if (std::abs(below) == 0.5) {
    const double lost = std::fma(value, units, -product);
    if (lost != 0 && (lost > 0) != (below > 0)) {
      return nearest + (lost > 0 ? 1 : -1);
    }
  }
  return nearest;
}

// A whole number of 10^-decimals right-aligned in `width` characters, a zero
// before the point; false, and blanks, when it does not fit.
bool print_fixed(char* to, std::int64_t number, int width, int decimals);

// The same at the end of a text; a number that does not fit leaves the text as
// it is.
[[nodiscard]] bool append_fixed(std::string& to,
                                std::int64_t number,
                                int width,
                                int decimals);

// What F14.3 can hold, in thousandths.
inline constexpr std::int64_t kMaxThousandths = 9'999'999'999'999;
inline constexpr std::int64_t kMinThousandths = -999'999'999'999;

// F14.3 of a number in that range. to: 14 characters.
void print_f14_3(char* to, std::int64_t thousandths);

// Whole number, right-aligned; in a text that is too narrow all of it.
void append_integer(std::string& to, std::int64_t number, int width);
// The same with zeros in front, for numbers from 0.
void append_padded(std::string& to, int number, int width);

// Pads with blanks to `size` characters.
void pad(std::string& text, std::size_t size);
// Takes blanks off the end, but not below `from`.
void trim_end(std::string& text, std::size_t from);

}  // namespace stillpoint::rinex
