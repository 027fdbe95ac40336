#include "stillpoint/store/plain_text.h"

#include <cstdint>

namespace stillpoint {
namespace {

constexpr std::string_view kReplacement = "\xEF\xBF\xBD";  // U+FFFD

// Bytes of the character that a text starts with; 0 where it is no UTF-8.
std::size_t character_size(std::string_view text) {
  const auto byte = [&](std::size_t i) {
    return i < text.size() ? static_cast<std::uint8_t>(text[i])
                           : std::uint8_t{0};
  };
  const auto tail = [&](std::size_t first, std::size_t end) {
    for (std::size_t i = first; i < end; ++i) {
      if ((byte(i) & 0xC0) != 0x80) {
        return false;
      }
    }
    return true;
  };
  const unsigned lead = byte(0);
  const unsigned second = byte(1);
  if (lead < 0x80) {
    return 1;
  }
  if (lead >= 0xC2 && lead <= 0xDF) {
    return tail(1, 2) ? 2 : 0;
  }
  if (lead >= 0xE0 && lead <= 0xEF) {
    const bool overlong = lead == 0xE0 && second < 0xA0;
    const bool surrogate = lead == 0xED && second > 0x9F;
    return tail(1, 3) && !overlong && !surrogate ? 3 : 0;
  }
  if (lead >= 0xF0 && lead <= 0xF4) {
    const bool overlong = lead == 0xF0 && second < 0x90;
    const bool beyond = lead == 0xF4 && second > 0x8F;
    return tail(1, 4) && !overlong && !beyond ? 4 : 0;
  }
  return 0;
}

// U+0000..U+001F, U+007F and U+0080..U+009F.
bool is_control(std::string_view character) {
  const auto lead = static_cast<std::uint8_t>(character[0]);
  return lead < 0x20 || lead == 0x7F ||
         (lead == 0xC2 && static_cast<std::uint8_t>(character[1]) < 0xA0);
}

}  // namespace

std::string plain_line(std::string_view text, std::size_t most_bytes) {
  std::string line;
  while (!text.empty()) {
    const std::size_t size = character_size(text);
    std::string_view piece = size == 0 ? kReplacement : text.substr(0, size);
    if (is_control(piece)) {
      piece = " ";
    }
    if (line.size() + piece.size() > most_bytes) {
      break;
    }
    line += piece;
    text.remove_prefix(size == 0 ? 1 : size);
  }
  return line;
}

bool is_plain_name(std::string_view text, std::size_t most_bytes) {
  return !text.empty() && plain_line(text, most_bytes) == text;
}

bool is_utf8_text(std::string_view text) {
  while (!text.empty()) {
    const std::size_t size = text.front() == '\0' ? 0 : character_size(text);
    if (size == 0) {
      return false;
    }
    text.remove_prefix(size);
  }
  return true;
}

}  // namespace stillpoint
