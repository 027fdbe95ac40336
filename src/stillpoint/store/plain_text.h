// Text from people and from the network, before it is kept for years.
// Internal.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace stillpoint {

// One line of valid UTF-8: control characters become blanks, bytes that are no
// UTF-8 become U+FFFD, and what is beyond `most_bytes` is cut at a character.
//
//   source   RFC 3629, section 4, for what is UTF-8
std::string plain_line(std::string_view text, std::size_t most_bytes);

// Whether a text is not empty and plain_line() would leave it as it is.
bool is_plain_name(std::string_view text, std::size_t most_bytes);

// Whether a text of any number of lines is valid UTF-8 without zero bytes.
//
//   source   as plain_line()
bool is_utf8_text(std::string_view text);

}  // namespace stillpoint
