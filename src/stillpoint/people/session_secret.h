// The secrets of sessions in the console. Internal.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace stillpoint::people {

inline constexpr std::size_t kSessionSecretBytes = 32;
inline constexpr std::size_t kCsrfBytes = 16;

// Random bytes for a cookie or a header: base64url without padding (RFC 4648
// section 5).
std::string random_word(std::size_t bytes);

// What is kept of a session's secret: 256 random bits need no slow hash.
std::string session_hash(std::string_view secret);

// Whether a text has the length of a session's secret.
bool may_be_session_secret(std::string_view text);

}  // namespace stillpoint::people
