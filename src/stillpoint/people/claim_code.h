// The code of a claim against the hash that is kept of it. Internal.
#pragma once

#include <string>
#include <string_view>

#include "stillpoint/store/console_access.h"

namespace stillpoint::people {

// Whether that word is the code; takes the same time whatever is asked.
bool is_claim_code(std::string_view code_hash, std::string_view word);

// Whether the claim is open at that time: begun no more than an hour ahead of a
// clock that was set back, and not ended.
bool holds(const ClaimRow& claim, GnssTime now);

}  // namespace stillpoint::people
