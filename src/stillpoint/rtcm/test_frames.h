// Hex text of the vectors as bytes, for the tests of this module.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace stillpoint::rtcm {

inline std::vector<std::uint8_t> from_hex(const std::string& text) {
  std::vector<std::uint8_t> bytes;
  for (std::size_t i = 0; i + 1 < text.size(); i += 2) {
    bytes.push_back(
        static_cast<std::uint8_t>(std::stoul(text.substr(i, 2), nullptr, 16)));
  }
  return bytes;
}

// "0110 1…", blanks ignored, padded with zeros to whole bytes.
inline std::vector<std::uint8_t> from_bits(const std::string& text) {
  std::vector<std::uint8_t> bytes;
  unsigned count = 0;
  for (const char c : text) {
    if (c != '0' && c != '1') {
      continue;
    }
    if (count % 8 == 0) {
      bytes.push_back(0);
    }
    if (c == '1') {
      bytes.back() |= static_cast<std::uint8_t>(0x80U >> (count % 8));
    }
    ++count;
  }
  return bytes;
}

}  // namespace stillpoint::rtcm
