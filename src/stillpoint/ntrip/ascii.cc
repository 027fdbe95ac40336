#include "stillpoint/ntrip/ascii.h"

#include <algorithm>

namespace stillpoint::ntrip {
namespace {

bool same_letter(char a, char b) {
  return to_lower(a) == to_lower(b);
}

}  // namespace

bool equal_text(std::string_view a, std::string_view b) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end(), same_letter);
}

bool starts_with_text(std::string_view text, std::string_view start) {
  return equal_text(text.substr(0, start.size()), start);
}

bool contains_text(std::string_view text, std::string_view part) {
  return std::search(
             text.begin(), text.end(), part.begin(), part.end(), same_letter) !=
         text.end();
}

std::string one_line(std::string_view text) {
  std::string line(text);
  std::replace_if(
      line.begin(),
      line.end(),
      [](char c) { return (c >= '\0' && c < ' ') || c == '\x7F'; },
      ' ');
  return line;
}

std::string for_people(std::string_view text, std::size_t most) {
  std::string shown(text.substr(0, most));
  std::replace_if(
      shown.begin(), shown.end(), [](char c) { return !is_printable(c); }, '?');
  if (text.size() > most) {
    shown += "…";
  }
  return shown;
}

}  // namespace stillpoint::ntrip
