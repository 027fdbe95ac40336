// Random bytes as letters and digits that people can read to each other:
// base32 in lower case, in groups of five with hyphens. The alphabet leaves out
// i, l, o and u; what is read back may be in capitals, without hyphens, and
// with i or l for 1 and o for 0. Internal.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>

namespace stillpoint::people {

//   source   the alphabet: Crockford's base32, from memory
std::string spell(std::span<const std::uint8_t> bytes);

// Reads exactly as many bytes as there is room for; false, with anything in
// `bytes`, for a text that spell() does not write for so many.
bool read_spelled(std::string_view word, std::span<std::uint8_t> bytes);

}  // namespace stillpoint::people
