// The cookie of a session.
#pragma once

#include <string>
#include <string_view>

#include "stillpoint/net/http_message.h"

namespace stillpoint::api {

//   source   RFC 6265; the prefix __Host-: RFC 6265bis, from memory
std::string session_cookie(std::string_view secret, bool tls);
std::string ended_cookie(bool tls);
// The secret that came with a request; empty: none.
std::string session_secret(const net::HttpRequest& request);

}  // namespace stillpoint::api
