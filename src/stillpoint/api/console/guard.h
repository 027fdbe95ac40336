// Whether a request may be answered at all: its session, its token, where it
// comes from.
#pragma once

#include <optional>

#include "stillpoint/api/console/routes.h"

namespace stillpoint::api {

// Checks in the order: origin, claim, session, token, role. Fills in the call's
// session.
//
//   returns  what is wrong, or nothing
std::optional<Problem> guard(Call& call, const Route& route);

// Whether a page of somebody else's sends this: by Origin and Sec-Fetch-Site,
// where they are there.
//
//   source   RFC 6454, section 7; Fetch Metadata (W3C), from memory
bool is_foreign(const net::HttpRequest& request);

}  // namespace stillpoint::api
