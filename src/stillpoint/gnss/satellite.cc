#include "stillpoint/gnss/satellite.h"

#include "stillpoint/core/check.h"

namespace stillpoint {
namespace {

struct SystemRow {
  char letter;
  const char* name;
};

// In the order of System.
constexpr std::array<SystemRow, kSystemCount> kRows{{
    {'G', "GPS"},
    {'R', "GLONASS"},
    {'E', "Galileo"},
    {'C', "BeiDou"},
    {'J', "QZSS"},
    {'S', "SBAS"},
    {'I', "NavIC"},
}};

const SystemRow& row_of(System s) {
  const auto index = static_cast<std::size_t>(s);
  STILLPOINT_CHECK(index < kRows.size());
  return kRows[index];
}

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

}  // namespace

char system_letter(System s) {
  return row_of(s).letter;
}

const char* system_name(System s) {
  return row_of(s).name;
}

std::optional<System> system_from_letter(char letter) {
  for (const System s : kSystems) {
    if (row_of(s).letter == letter) {
      return s;
    }
  }
  return std::nullopt;
}

std::string SatId::text() const {
  std::string text(3, system_letter(system));
  text[1] = static_cast<char>('0' + number / 10 % 10);
  text[2] = static_cast<char>('0' + number % 10);
  return text;
}

std::optional<SatId> parse_satellite(std::string_view text, char blank_letter) {
  if (text.size() != 2 && text.size() != 3) {
    return std::nullopt;
  }
  const std::string_view digits = text.substr(text.size() - 2);
  char letter = text.size() == 3 ? text[0] : ' ';
  if (letter == ' ') {
    letter = blank_letter;
  }
  if ((digits[0] != ' ' && !is_digit(digits[0])) || !is_digit(digits[1])) {
    return std::nullopt;
  }
  const int tens = digits[0] == ' ' ? 0 : digits[0] - '0';
  const int number = 10 * tens + (digits[1] - '0');
  const std::optional<System> system = system_from_letter(letter);
  if (!system || number == 0) {
    return std::nullopt;
  }
  return SatId{*system, static_cast<std::uint8_t>(number)};
}

}  // namespace stillpoint
