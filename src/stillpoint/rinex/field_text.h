// Fixed columns of RINEX text to numbers: never throws, never allocates, never
// reads outside the line it is given.
#pragma once

#include <array>
#include <bit>
#include <cstdint>
#include <cstring>
#include <optional>
#include <string>
#include <string_view>

#include "stillpoint/core/text.h"

namespace stillpoint::rinex::field {

using stillpoint::trim;
using stillpoint::trim_right;

// ASCII letters in capitals.
char upper(char c);
std::string upper(std::string_view text);

// A piece of a file for messages: 'text', at most 80 characters.
std::string quoted(std::string_view text);

// Columns [first, first + count) of a line, clipped at its end.
constexpr std::string_view part(std::string_view line,
                                std::size_t first,
                                std::size_t count) {
  return columns(line, first, count);
}

// A whole number with blanks around it; nothing for blank or other text.
std::optional<int> integer(std::string_view text);

// A real number as Fortran writes it: "12.5", ".0000", "-.5", "+1", "1.2D-05",
// blanks around it. Nothing for blank text, other text and not finite values.
std::optional<double> real(std::string_view text);

// Blank or digit pair, " 7", "07", "17"; -1 for anything else. A blank pair is
// -1 too.
inline int two_digits(const char* p) {
  const int high = p[0] == ' ' ? 0 : p[0] - '0';
  const int low = p[1] - '0';
  const bool good = high >= 0 && high <= 9 && low >= 0 && low <= 9;
  return good ? high * 10 + low : -1;
}

// What a data field of 14 columns holds.
enum class Shape : std::uint8_t {
  kBlank,   // blank, or the value zero: not measured
  kNumber,  // value set
  kOdd,     // not the usual shape: try parse_odd()
  kBad,
};

namespace detail {

inline constexpr std::uint64_t kBlanks = 0x2020202020202020;
// XOR with the character zero: digits become 0 .. 9, a blank 0x10, a minus
// 0x1D.
inline constexpr std::uint64_t kZeros = 0x3030303030303030;
inline constexpr std::uint64_t kMarks = 0x1010101010101010;
inline constexpr std::uint64_t kMinusMarks = 0x0D0D0D0D0D0D0D0D;
// Bytes of the second word: four digits, the point, three decimals.
inline constexpr std::uint64_t kPointed = 0x3030302E30303030;

// First character in the lowest byte, on any machine.
inline std::uint64_t load8(const char* p) {
  std::uint64_t word = 0;
  std::memcpy(&word, p, sizeof word);
  if constexpr (std::endian::native == std::endian::big) {
    std::uint64_t turned = 0;
    for (unsigned i = 0; i < 8; ++i) {
      turned = (turned << 8U) | ((word >> (8U * i)) & 0xFFU);
    }
    word = turned;
  }
  return word;
}

// Zero when every byte is 0 .. 9.
inline std::uint64_t not_digits(std::uint64_t word) {
  return ((word + 0x0606060606060606) | word) & 0xF0F0F0F0F0F0F0F0;
}

// The same but for the byte of the point, which has to be zero.
inline std::uint64_t not_digits_and_point(std::uint64_t word) {
  return ((word + 0x0606060006060606) | word) & 0xF0F0F0FFF0F0F0F0;
}

// Eight digits 0 .. 9, the first one in the lowest byte.
inline std::uint64_t eight_digits(std::uint64_t word) {
  constexpr std::uint64_t kMask = 0x000000FF000000FF;
  word = word * 10 + (word >> 8U);
  return (((word & kMask) * (100 + (std::uint64_t{1'000'000} << 32U))) +
          (((word >> 16U) & kMask) * (1 + (std::uint64_t{10'000} << 32U)))) >>
         32U;
}

// Four digits, a zero for the point and three decimals: the same with the
// weights of the places before the point divided by ten.
inline std::uint64_t pointed_digits(std::uint64_t word) {
  constexpr std::uint64_t kMask = 0x000000FF000000FF;
  word = word * 10 + (word >> 8U);
  return (((word & kMask) * (100 + (std::uint64_t{100'000} << 32U))) +
          (((word >> 16U) & kMask) * (1 + (std::uint64_t{1'000} << 32U)))) >>
         32U;
}

}  // namespace detail

// One F14.3 field as files usually write it: a blank, more blanks, at most one
// minus, digits, the point in column 10, three decimals; others are kOdd. Works
// on eight characters at a time and without branches by value, since the
// lengths of numbers cannot be predicted. p: 14 readable characters.
//
//   accuracy  the double nearest to the decimal text: thousandths below 2^53
//             divided by 1000, one correctly rounded operation
[[gnu::always_inline]] inline Shape parse_f14_3(const char* p, double& value) {
  using namespace detail;
  // Columns 1 to 8, and 6 to 13 of which 9 to 13 are used.
  const std::uint64_t front = load8(p + 1);
  const std::uint64_t back = load8(p + 6);
  if (front == kBlanks && back == kBlanks && *p == ' ') {
    return Shape::kBlank;
  }
  // All bits below the first digit of the front.
  const std::uint64_t head = front ^ kZeros;
  const std::uint64_t digits = (~head & kMarks) >> 4U;
  const std::uint64_t below = (digits - 1) & ~digits;
  // Blanks there, or a minus beside the first digit.
  const std::uint64_t lead = (head ^ kMarks) & below;
  const std::uint64_t minus = (below ^ (below >> 8U)) & kMinusMarks;
  const std::uint64_t whole = head & ~below;
  const std::uint64_t rest = (back ^ kPointed) & 0xFFFFFFFFFF000000;
  // One word that is zero for a good field, so that there is one branch.
  const int wrong_lead =
      static_cast<int>(lead != 0) & static_cast<int>(lead != minus);
  const std::uint64_t bad = static_cast<std::uint64_t>(wrong_lead) |
                            not_digits(whole) | not_digits_and_point(rest) |
                            static_cast<unsigned char>(*p ^ ' ');
  if (bad != 0) {
    return Shape::kOdd;
  }
  const auto size = static_cast<std::int64_t>(eight_digits(whole) * 10'000U +
                                              pointed_digits(rest));
  if (size == 0) {
    return Shape::kBlank;
  }
  const std::int64_t negative = lead == 0 ? 0 : 1;
  value = static_cast<double>((size ^ -negative) + negative) / 1000.0;
  return Shape::kNumber;
}

// Any other shape of a data field of 14 columns ("12345.", "+1.5", "1.0E+07").
Shape parse_odd(std::string_view text, double& value);

// Flag column: blank and digits to 0..9, anything else -1.
inline constexpr auto kFlagDigits = [] {
  std::array<std::int8_t, 256> table{};
  table.fill(-1);
  table[' '] = 0;
  for (std::int8_t digit = 0; digit <= 9; ++digit) {
    table[static_cast<std::size_t>('0' + digit)] = digit;
  }
  return table;
}();
inline int flag_digit(char c) {
  return kFlagDigits[static_cast<unsigned char>(c)];
}

}  // namespace stillpoint::rinex::field
