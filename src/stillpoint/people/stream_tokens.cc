#include <sodium.h>

#include <algorithm>
#include <array>
#include <optional>

#include "stillpoint/people/keyed_hash.h"
#include "stillpoint/people/secrets.h"

namespace stillpoint::people {
namespace {

constexpr std::string_view kAlphabet = "0123456789abcdefghjkmnpqrstvwxyz";
constexpr std::string_view kScheme = "blake2b:";
constexpr std::string_view kPurpose = "stillpoint stream token";
constexpr std::size_t kTokenBytes = 16;
constexpr std::size_t kSymbols = 26;  // 128 bits, 5 a symbol, and 2 of zero
constexpr std::size_t kGroup = 5;

using TokenBytes = std::array<std::uint8_t, kTokenBytes>;

std::string word_of(const TokenBytes& bytes) {
  std::string word;
  unsigned bits = 0, count = 0;
  std::size_t symbols = 0;
  const auto put = [&](unsigned symbol) {
    // The last group has six: a single letter at the end looks torn off.
    if (symbols > 0 && symbols % kGroup == 0 && symbols + 1 < kSymbols) {
      word += '-';
    }
    word += kAlphabet[symbol];
    ++symbols;
  };
  for (const std::uint8_t byte : bytes) {
    bits = (bits << 8U | byte) & 0xFFFU;
    count += 8;
    for (; count >= 5; count -= 5) {
      put(bits >> (count - 5) & 31U);
    }
  }
  put(bits << (5 - count) & 31U);
  return word;
}

std::optional<unsigned> symbol_of(char c) {
  const char small = c >= 'A' && c <= 'Z' ? static_cast<char>(c + 32) : c;
  const char meant = small == 'o'                   ? '0'
                     : small == 'i' || small == 'l' ? '1'
                                                    : small;
  const std::size_t at = kAlphabet.find(meant);
  return at == std::string_view::npos
             ? std::nullopt
             : std::optional(static_cast<unsigned>(at));
}

std::optional<TokenBytes> bytes_of(std::string_view word) {
  TokenBytes bytes{};
  std::size_t symbols = 0, size = 0;
  unsigned bits = 0, count = 0;
  for (const char c : word) {
    if (c == '-') {
      continue;
    }
    const auto symbol = symbol_of(c);
    if (!symbol || ++symbols > kSymbols) {
      return std::nullopt;
    }
    bits = (bits << 5U | *symbol) & 0xFFFU;
    count += 5;
    if (count >= 8) {
      count -= 8;
      bytes[size++] = static_cast<std::uint8_t>(bits >> count & 0xFFU);
    }
  }
  const bool rest_is_zero = (bits & ((1U << count) - 1)) == 0;
  return symbols == kSymbols && rest_is_zero ? std::optional(bytes)
                                             : std::nullopt;
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
  std::array<char, 2 * sizeof(Digest) + 1> hex{};
  sodium_bin2hex(hex.data(), hex.size(), digest.data(), digest.size());
  NewToken token{word_of(bytes), std::string(kScheme) + hex.data()};
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
