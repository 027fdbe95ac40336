// Bytes for the eyes of people.
#pragma once

#include <string>
#include <string_view>

#include "stillpoint/core/bytes.h"
#include "stillpoint/profile/step.h"

namespace stillpoint::app {

// "9E C4 A0".
std::string hex_of(ByteSpan bytes);

// Printable ASCII as it is, line ends and other bytes as \r \n \xHH.
std::string escaped(ByteSpan bytes);

// Whether escaped() shows it as it is.
bool is_all_text(ByteSpan bytes);

// "9E C4 A0 ??", or the beginning of a line in quotes; empty for an empty one.
std::string pattern_text(const profile::ReplyPattern& pattern);

// Lines of 16 bytes in hex with their letters beside them, the first line
// behind `label`, the others below it.
std::string dump(std::string_view label, ByteSpan bytes);

}  // namespace stillpoint::app
