// Letters of protocol text, whatever the locale says.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace stillpoint::ntrip {

constexpr bool is_alpha(char c) {
  return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z');
}
constexpr bool is_digit(char c) {
  return c >= '0' && c <= '9';
}
// A character that a terminal shows, or a blank; ASCII only.
constexpr bool is_printable(char c) {
  return c >= ' ' && c <= '~';
}
constexpr char to_lower(char c) {
  return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

// Equal, letters of either case.
bool equal_text(std::string_view a, std::string_view b);
bool starts_with_text(std::string_view text, std::string_view start);
bool contains_text(std::string_view text, std::string_view part);

// Control characters replaced by blanks, so that a line stays one line.
std::string one_line(std::string_view text);

// What a stranger sent, fit for a message: characters that are not printable
// become '?', and what is longer than `most` is cut and ends with "…".
std::string for_people(std::string_view text, std::size_t most = 80);

}  // namespace stillpoint::ntrip
