// Text of strangers, for the eyes of people: UTF-8 checked after RFC 3629.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace stillpoint::rtcm {

// Characters of a text; nothing where it is not UTF-8.
std::optional<std::size_t> utf8_length(std::string_view bytes);

// The text with U+FFFD in place of bytes that are not UTF-8 and of characters
// that steer a terminal or turn the writing direction: control characters
// (line ends and tabs become blanks) and the marks U+200E, U+200F,
// U+2028 to U+202E, U+2066 to U+2069.
std::string safe_text(std::string_view bytes);

}  // namespace stillpoint::rtcm
