// What may follow the '?' of a source.
#pragma once

#include <string_view>

#include "stillpoint/core/result.h"
#include "stillpoint/net/source_address.h"

namespace stillpoint::net {

// Fills the options of `address`, whose kind is set, from "name=value&…".
//
//   errors   kUsage; a name or value that could be a password is not repeated
Status parse_source_options(std::string_view text, SourceAddress& address);

// The refusal of a password in the text, with the remedy.
Error password_refused();

// %XX replaced by the byte it stands for.
//
//   errors   kUsage for a '%' without two hexadecimal digits
Result<std::string> percent_decoded(std::string_view text);

}  // namespace stillpoint::net
