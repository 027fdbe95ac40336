// Small helpers for text of fixed columns and words that people type. None of
// them throws or reaches outside its text.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string_view>

namespace stillpoint {

// Without blanks, tabs and line ends at the right, or at both ends.
std::string_view trim_right(std::string_view text);
std::string_view trim(std::string_view text);

// `count` columns from column `first` (counted from 0); what a short line
// lacks is missing from the result too.
constexpr std::string_view columns(std::string_view line,
                                   std::size_t first,
                                   std::size_t count) {
  return first < line.size() ? line.substr(first, count) : std::string_view{};
}

// The whole text, blanks at the ends aside, as a number; a leading plus sign
// is allowed. Nothing for an empty text, anything left over, a value that the
// type cannot hold, infinity and NaN.
std::optional<double> parse_double(std::string_view text);
std::optional<std::int64_t> parse_int(std::string_view text);

// A length of time as people write it: a number of seconds, or one with ms, s,
// m, h or d behind it ("10s", "1.5h"). Nothing for anything else, a negative
// one included.
std::optional<double> parse_duration_s(std::string_view text);

// How many letters must be inserted, left out, replaced or swapped with their
// neighbour to make one word of the other.
//
//   source   restricted edit distance (Damerau 1964, CACM 7(3)), from memory
std::size_t edit_distance(std::string_view a, std::string_view b);

// The candidate most like a mistyped word; nothing where none is close (more
// than one change in three letters, at least one).
std::optional<std::string_view> suggest(
    std::string_view word, std::span<const std::string_view> candidates);

}  // namespace stillpoint
