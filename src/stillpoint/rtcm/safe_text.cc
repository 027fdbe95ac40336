#include "stillpoint/rtcm/safe_text.h"

#include <cstdint>

namespace stillpoint::rtcm {
namespace {

constexpr std::string_view kReplacement = "\xEF\xBF\xBD";  // U+FFFD

struct Character {
  std::uint32_t code = 0;
  std::size_t bytes = 0;  // 0: no character begins here
};

std::uint8_t byte_at(std::string_view text, std::size_t i) {
  return static_cast<std::uint8_t>(text[i]);
}

// Bytes that the lead byte announces and its own bits of the code; RFC 3629,
// section 3.
Character lead(std::uint8_t byte) {
  if (byte < 0x80) {
    return {byte, 1};
  }
  if (byte >= 0xC2 && byte <= 0xDF) {
    return {byte & 0x1FU, 2};
  }
  if (byte >= 0xE0 && byte <= 0xEF) {
    return {byte & 0x0FU, 3};
  }
  if (byte >= 0xF0 && byte <= 0xF4) {
    return {byte & 0x07U, 4};
  }
  return {};
}

// Too short for its length ("overlong"), a half of a UTF-16 pair, or beyond
// the last code.
bool is_forbidden(const Character& c) {
  return (c.bytes == 3 && c.code < 0x800) ||
         (c.code >= 0xD800 && c.code <= 0xDFFF) ||
         (c.bytes == 4 && c.code < 0x10000) || c.code > 0x10FFFF;
}

Character first_character(std::string_view text) {
  Character c = lead(byte_at(text, 0));
  if (c.bytes == 0 || c.bytes > text.size()) {
    return {};
  }
  for (std::size_t i = 1; i < c.bytes; ++i) {
    const std::uint8_t next = byte_at(text, i);
    if ((next & 0xC0U) != 0x80) {
      return {};
    }
    c.code = c.code << 6 | (next & 0x3FU);
  }
  return is_forbidden(c) ? Character{} : c;
}

bool steers(std::uint32_t code) {
  return code < 0x20 || (code >= 0x7F && code <= 0x9F) || code == 0x200E ||
         code == 0x200F || (code >= 0x2028 && code <= 0x202E) ||
         (code >= 0x2066 && code <= 0x2069);
}

bool is_blank(std::uint32_t code) {
  return code == '\t' || code == '\n' || code == '\r';
}

}  // namespace

std::optional<std::size_t> utf8_length(std::string_view bytes) {
  std::size_t characters = 0;
  while (!bytes.empty()) {
    const Character c = first_character(bytes);
    if (c.bytes == 0) {
      return std::nullopt;
    }
    bytes.remove_prefix(c.bytes);
    ++characters;
  }
  return characters;
}

std::string safe_text(std::string_view bytes) {
  std::string safe;
  while (!bytes.empty()) {
    const Character c = first_character(bytes);
    if (c.bytes == 0) {
      safe += kReplacement;
      bytes.remove_prefix(1);
      continue;
    }
    if (is_blank(c.code)) {
      safe += ' ';
    } else if (steers(c.code)) {
      safe += kReplacement;
    } else {
      safe += bytes.substr(0, c.bytes);
    }
    bytes.remove_prefix(c.bytes);
  }
  return safe;
}

}  // namespace stillpoint::rtcm
