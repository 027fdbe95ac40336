// The texts of a step as people write them: text and hex with {placeholders},
// and patterns of replies.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <tl/expected.hpp>
#include <vector>

#include "stillpoint/profile/step.h"

namespace stillpoint::profile {

// What is wrong with a text: the part, what is allowed, and what to write.
struct TextMistake {
  std::string what, remedy;
};
template <class T>
using Understood = tl::expected<T, TextMistake>;

inline constexpr std::size_t kMostTextBytes = 1024;
inline constexpr std::size_t kMostPatternBytes = 64;

// Printable ASCII; "{{" and "}}" stand for the braces themselves.
Understood<std::vector<Piece>> parse_text_template(std::string_view text);

struct HexTemplate {
  std::vector<Piece> pieces;
  std::size_t size = 0;  // of all bytes, values included
  // Where "{length}" stood: in the whole, and its zeros in the pieces.
  std::optional<std::size_t> length_at;
  std::size_t length_piece = 0, length_index = 0;
};

// Pairs of hex digits, blanks between bytes as one likes.
//
//   length_bytes   what {length} takes; 0 where there is no length to fill in
//   most           bytes allowed in all
Understood<HexTemplate> parse_hex_template(std::string_view text,
                                           std::size_t length_bytes,
                                           std::size_t most);

// "9E C4 A0 ??": "??" is any byte. At least two bytes are given.
Understood<std::vector<std::optional<std::uint8_t>>> parse_hex_pattern(
    std::string_view text);

}  // namespace stillpoint::profile
