#include "stillpoint/app/byte_text.h"

#include <fmt/format.h>

#include <algorithm>

namespace stillpoint::app {
namespace {

constexpr std::size_t kBytesOfLine = 16;

bool is_printable(std::uint8_t byte) {
  return byte >= ' ' && byte <= '~';
}

std::string letters_of(ByteSpan bytes) {
  std::string letters(bytes.begin(), bytes.end());
  std::replace_if(
      letters.begin(),
      letters.end(),
      [](char c) { return !is_printable(static_cast<std::uint8_t>(c)); },
      '.');
  return letters;
}

}  // namespace

std::string hex_of(ByteSpan bytes) {
  std::string text;
  for (const std::uint8_t byte : bytes) {
    text += fmt::format("{}{:02X}", text.empty() ? "" : " ", byte);
  }
  return text;
}

std::string escaped(ByteSpan bytes) {
  std::string text;
  for (const std::uint8_t byte : bytes) {
    if (byte == '\r') {
      text += "\\r";
    } else if (byte == '\n') {
      text += "\\n";
    } else if (is_printable(byte)) {
      text += static_cast<char>(byte);
    } else {
      text += fmt::format("\\x{:02X}", byte);
    }
  }
  return text;
}

bool is_all_text(ByteSpan bytes) {
  return std::all_of(bytes.begin(), bytes.end(), is_printable);
}

std::string pattern_text(const profile::ReplyPattern& pattern) {
  if (!pattern.line_begin.empty()) {
    return "\"" + pattern.line_begin + "\"";
  }
  std::string text;
  for (const auto& byte : pattern.bytes) {
    text += (text.empty() ? "" : " ") +
            (byte ? fmt::format("{:02X}", *byte) : std::string("??"));
  }
  return text;
}

std::string dump(std::string_view label, ByteSpan bytes) {
  std::string text;
  for (std::size_t at = 0; at < bytes.size(); at += kBytesOfLine) {
    const ByteSpan line =
        bytes.subspan(at, std::min(kBytesOfLine, bytes.size() - at));
    text += fmt::format("{:<{}}{:<{}}  {}\n",
                        at == 0 ? label : "",
                        label.size(),
                        hex_of(line),
                        3 * kBytesOfLine - 1,
                        letters_of(line));
  }
  return text;
}

}  // namespace stillpoint::app
