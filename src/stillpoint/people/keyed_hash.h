// BLAKE2b, with a key and without, for everything in this module that is
// compared without being kept. Internal.
#pragma once

#include <array>
#include <cstdint>
#include <initializer_list>
#include <string>
#include <string_view>

#include "stillpoint/people/secrets.h"

namespace stillpoint::people {

using Digest = std::array<std::uint8_t, 32>;

// Makes the library's random numbers ready; every use comes after it.
void use_sodium();

// BLAKE2b-256 under the key, over each part behind its length (64 bits, least
// significant byte first). The first part says what the hash is for, so that
// no hash can stand for one of another kind.
//
//   source   RFC 7693 (libsodium's implementation)
Digest keyed_hash(const SecretKey& key,
                  std::initializer_list<std::string_view> parts);

// The same without a key: for secrets that nobody can guess.
//
//   source   as keyed_hash()
Digest plain_hash(std::initializer_list<std::string_view> parts);

// 64 lower-case hexadecimal digits.
std::string hex_of(const Digest& digest);

// In the same time wherever they differ.
bool same_digest(const Digest& a, const Digest& b);

}  // namespace stillpoint::people
