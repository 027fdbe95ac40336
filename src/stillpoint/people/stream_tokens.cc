#include <sodium.h>

#include <array>
#include <optional>

#include "stillpoint/people/keyed_hash.h"
#include "stillpoint/people/secrets.h"
#include "stillpoint/people/spelled.h"

namespace stillpoint::people {
namespace {

constexpr std::string_view kScheme = "blake2b:";
constexpr std::string_view kPurpose = "stillpoint stream token";
constexpr std::size_t kTokenBytes = 16;

using TokenBytes = std::array<std::uint8_t, kTokenBytes>;

std::optional<TokenBytes> bytes_of(std::string_view word) {
  TokenBytes bytes{};
  return read_spelled(word, bytes) ? std::optional(bytes) : std::nullopt;
}

Digest digest_of(const SecretKey& key, const TokenBytes& bytes) {
  return keyed_hash(
      key,
      {kPurpose,
       std::string_view(reinterpret_cast<const char*>(bytes.data()),
                        bytes.size())});
}

// Nothing for what make_stream_token() has not written.
std::optional<Digest> stored_digest(std::string_view hash) {
  Digest digest{};
  if (!hash.starts_with(kScheme)) {
    return std::nullopt;
  }
  hash.remove_prefix(kScheme.size());
  std::size_t size = 0;
  if (sodium_hex2bin(digest.data(),
                     digest.size(),
                     hash.data(),
                     hash.size(),
                     nullptr,
                     &size,
                     nullptr) != 0 ||
      size != digest.size()) {
    return std::nullopt;
  }
  return digest;
}

}  // namespace

NewToken make_stream_token(const SecretKey& key) {
  use_sodium();
  TokenBytes bytes{};
  randombytes_buf(bytes.data(), bytes.size());
  const Digest digest = digest_of(key, bytes);
  NewToken token{spell(bytes), std::string(kScheme) + hex_of(digest)};
  sodium_memzero(bytes.data(), bytes.size());
  return token;
}

bool verify_stream_token(const SecretKey& key,
                         std::string_view hash,
                         std::string_view word) {
  std::optional<TokenBytes> bytes = bytes_of(word);
  const std::optional<Digest> stored = stored_digest(hash);
  // What cannot be right is hashed and compared like all else.
  const bool same = same_digest(digest_of(key, bytes.value_or(TokenBytes{})),
                                stored.value_or(Digest{}));
  const bool right = same && bytes && stored;
  if (bytes) {
    sodium_memzero(bytes->data(), bytes->size());
  }
  return right;
}

}  // namespace stillpoint::people
