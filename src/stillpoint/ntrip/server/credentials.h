// The value of an Authorization header.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace stillpoint::ntrip {

struct Credentials {
  std::string user, password;
};

// Reads "Basic …"; the word in any case. Nothing for another scheme, for what
// is not base64, and for text without a colon.
//
//   source   RFC 7617, RFC 4648 section 4 (padding may be missing)
std::optional<Credentials> parse_basic(std::string_view value);

}  // namespace stillpoint::ntrip
