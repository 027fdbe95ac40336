#include "stillpoint/people/keyed_hash.h"

#include <sodium.h>

#include <algorithm>
#include <span>

#include "stillpoint/core/bytes.h"
#include "stillpoint/core/check.h"

namespace stillpoint::people {
namespace {

void update(crypto_generichash_state& state,
            const void* bytes,
            std::size_t size) {
  crypto_generichash_update(
      &state, static_cast<const unsigned char*>(bytes), size);
}

Digest hash_of(std::span<const std::uint8_t> key,
               std::initializer_list<std::string_view> parts) {
  crypto_generichash_state state;
  Digest digest;
  crypto_generichash_init(&state, key.data(), key.size(), digest.size());
  for (const std::string_view part : parts) {
    std::array<std::uint8_t, 8> length{};
    STILLPOINT_CHECK(store_le(std::uint64_t{part.size()}, length));
    update(state, length.data(), length.size());
    update(state, part.data(), part.size());
  }
  crypto_generichash_final(&state, digest.data(), digest.size());
  sodium_memzero(&state, sizeof(state));
  return digest;
}

}  // namespace

void use_sodium() {
  // Fails only where the system has no random numbers to give.
  static const bool ready = sodium_init() >= 0;
  STILLPOINT_CHECK(ready);
}

Digest keyed_hash(const SecretKey& key,
                  std::initializer_list<std::string_view> parts) {
  return hash_of(key.bytes(), parts);
}

Digest plain_hash(std::initializer_list<std::string_view> parts) {
  use_sodium();
  return hash_of({}, parts);
}

std::string hex_of(const Digest& digest) {
  std::array<char, 2 * sizeof(Digest) + 1> hex{};
  sodium_bin2hex(hex.data(), hex.size(), digest.data(), digest.size());
  return hex.data();
}

bool same_digest(const Digest& a, const Digest& b) {
  return sodium_memcmp(a.data(), b.data(), a.size()) == 0;
}

void wipe(std::string& secret) {
  sodium_memzero(secret.data(), secret.size());
  secret.clear();
}

SecretKey::SecretKey(Bytes bytes) {
  std::copy(bytes.begin(), bytes.end(), bytes_.begin());
}

SecretKey SecretKey::random() {
  use_sodium();
  SecretKey key;
  randombytes_buf(key.bytes_.data(), key.bytes_.size());
  return key;
}

SecretKey::SecretKey(SecretKey&& other) noexcept : bytes_(other.bytes_) {
  sodium_memzero(other.bytes_.data(), other.bytes_.size());
}

SecretKey::~SecretKey() {
  sodium_memzero(bytes_.data(), bytes_.size());
}

}  // namespace stillpoint::people
