#include <gtest/gtest.h>
#include <openssl/core_names.h>
#include <openssl/evp.h>
#include <openssl/params.h>
#include <sodium.h>

#include <algorithm>
#include <array>
#include <memory>
#include <set>
#include <string>
#include <vector>

#include "stillpoint/people/keyed_hash.h"
#include "stillpoint/people/secrets.h"

namespace stillpoint::people {
namespace {

using Bytes = std::vector<std::uint8_t>;

SecretKey key_of(std::uint8_t first) {
  std::array<std::uint8_t, SecretKey::kBytes> bytes{};
  for (std::size_t i = 0; i < bytes.size(); ++i) {
    bytes[i] = static_cast<std::uint8_t>(first + i);
  }
  return SecretKey(bytes);
}

// OpenSSL's own BLAKE2b with a key.
Bytes openssl_blake2b(std::span<const std::uint8_t> key,
                      const std::string& message) {
  const std::unique_ptr<EVP_MAC, void (*)(EVP_MAC*)> mac(
      EVP_MAC_fetch(nullptr, "BLAKE2BMAC", nullptr), EVP_MAC_free);
  const std::unique_ptr<EVP_MAC_CTX, void (*)(EVP_MAC_CTX*)> context(
      EVP_MAC_CTX_new(mac.get()), EVP_MAC_CTX_free);
  std::size_t size = 32;
  const std::array parameters{
      OSSL_PARAM_construct_size_t(OSSL_MAC_PARAM_SIZE, &size),
      OSSL_PARAM_construct_end()};
  Bytes out(size);
  EXPECT_EQ(
      EVP_MAC_init(context.get(), key.data(), key.size(), parameters.data()),
      1);
  EXPECT_EQ(
      EVP_MAC_update(context.get(),
                     reinterpret_cast<const unsigned char*>(message.data()),
                     message.size()),
      1);
  EXPECT_EQ(EVP_MAC_final(context.get(), out.data(), &size, out.size()), 1);
  return out;
}

// The sequence that the self test of the RFC makes its inputs and keys of.
Bytes sequence(std::size_t size, std::uint32_t seed) {
  Bytes bytes(size);
  std::uint32_t a = 0xDEAD4BADU * seed, b = 1;
  for (std::uint8_t& byte : bytes) {
    const std::uint32_t t = a + b;
    a = b;
    b = t;
    byte = static_cast<std::uint8_t>(t >> 24U);
  }
  return bytes;
}

void hash_into(crypto_generichash_state& all,
               const Bytes& input,
               const Bytes& key,
               std::size_t size) {
  Bytes out(size);
  ASSERT_EQ(crypto_generichash(out.data(),
                               out.size(),
                               input.data(),
                               input.size(),
                               key.empty() ? nullptr : key.data(),
                               key.size()),
            0);
  crypto_generichash_update(&all, out.data(), out.size());
}

// kind: published   source: RFC 7693 appendix E, the hash of the hashes of 24
// inputs, each with a key and without; the digits from memory
// tolerance: none, bytes
TEST(Blake2b, OfTheLibraryPassesTheSelfTestOfTheRfc) {
  use_sodium();
  crypto_generichash_state all;
  crypto_generichash_init(&all, nullptr, 0, 32);
  for (const std::size_t size : {20U, 32U, 48U, 64U}) {
    for (const std::uint32_t length : {0U, 3U, 128U, 129U, 255U, 1024U}) {
      const Bytes input = sequence(length, length);
      hash_into(all, input, {}, size);
      hash_into(
          all, input, sequence(size, static_cast<std::uint32_t>(size)), size);
    }
  }
  Bytes out(32);
  crypto_generichash_final(&all, out.data(), out.size());
  const Bytes printed{0xC2, 0x3A, 0x78, 0x00, 0xD9, 0x81, 0x23, 0xBD,
                      0x10, 0xF5, 0x06, 0xC6, 0x1E, 0x29, 0xDA, 0x56,
                      0x03, 0xD7, 0x63, 0xB8, 0xBB, 0xAD, 0x2E, 0x73,
                      0x7F, 0x5E, 0x76, 0x5A, 0x7B, 0xCC, 0xD4, 0x75};
  EXPECT_EQ(out, printed);
}

// kind: cross   OpenSSL's BLAKE2b over parts put together by hand
// tolerance: none, bytes
TEST(KeyedHash, IsBlake2bOverPartsBehindTheirLengths) {
  const SecretKey key = key_of(7);
  const std::string message =
      std::string("\x03\0\0\0\0\0\0\0abc", 11) + std::string(8, '\0') +
      std::string("\x2C\x01\0\0\0\0\0\0", 8) + std::string(300, 'x');
  const Digest digest = keyed_hash(key, {"abc", "", std::string(300, 'x')});
  EXPECT_EQ(Bytes(digest.begin(), digest.end()),
            openssl_blake2b(key.bytes(), message));
}

TEST(KeyedHash, KnowsWhereAPartEnds) {
  const SecretKey key = key_of(7);
  EXPECT_NE(keyed_hash(key, {"ab", "c"}), keyed_hash(key, {"a", "bc"}));
}

// The 16 bytes of a word, most significant bit first, by plain arithmetic.
std::string bytes_by_hand(const std::string& word) {
  const std::string alphabet = "0123456789abcdefghjkmnpqrstvwxyz";
  std::string bits;
  for (const char c : word) {
    if (c != '-') {
      const auto value = alphabet.find(c);
      for (int bit = 4; bit >= 0; --bit) {
        bits += (value >> static_cast<unsigned>(bit) & 1U) != 0 ? '1' : '0';
      }
    }
  }
  EXPECT_EQ(bits.size(), 130U);
  EXPECT_TRUE(bits.ends_with("00"));
  std::string bytes;
  for (std::size_t i = 0; i + 8 <= bits.size(); i += 8) {
    bytes += static_cast<char>(std::stoi(bits.substr(i, 8), nullptr, 2));
  }
  return bytes;
}

std::string hex_of(const Bytes& bytes) {
  std::string hex;
  for (const std::uint8_t byte : bytes) {
    hex += "0123456789abcdef"[byte >> 4U];
    hex += "0123456789abcdef"[byte & 15U];
  }
  return hex;
}

// kind: cross   OpenSSL's BLAKE2b and base32 by hand
// tolerance: none, bytes
TEST(StreamToken, IsKeptAsAKeyedHashOfItsBits) {
  const SecretKey key = key_of(1);
  for (int i = 0; i < 50; ++i) {
    const NewToken token = make_stream_token(key);
    const std::string bytes = bytes_by_hand(token.word);
    ASSERT_EQ(bytes.size(), 16U);
    const std::string message = std::string("\x17\0\0\0\0\0\0\0", 8) +
                                "stillpoint stream token" +
                                std::string("\x10\0\0\0\0\0\0\0", 8) + bytes;
    EXPECT_EQ(token.hash,
              "blake2b:" + hex_of(openssl_blake2b(key.bytes(), message)));
  }
}

TEST(StreamToken, IsInGroupsWithoutLookAlikes) {
  const std::string word = make_stream_token(key_of(1)).word;
  EXPECT_EQ(word.size(), 30U) << word;
  for (const std::size_t at : {5U, 11U, 17U, 23U}) {
    EXPECT_EQ(word[at], '-') << word;
  }
  EXPECT_EQ(std::count(word.begin(), word.end(), '-'), 4) << word;
  EXPECT_EQ(word.find_first_not_of("0123456789abcdefghjkmnpqrstvwxyz-"),
            std::string::npos)
      << word;
}

// 200 words are all different, and each of the 16 bytes takes many values: by
// chance the one or the other fails less than once in 10^100 runs.
TEST(StreamToken, IsRandomInAllItsBytes) {
  const SecretKey key = key_of(1);
  std::set<std::string> words;
  std::array<std::set<char>, 16> seen;
  for (int i = 0; i < 200; ++i) {
    const std::string word = make_stream_token(key).word;
    words.insert(word);
    const std::string bytes = bytes_by_hand(word);
    for (std::size_t at = 0; at < seen.size(); ++at) {
      seen.at(at).insert(bytes.at(at));
    }
  }
  EXPECT_EQ(words.size(), 200U);
  for (const std::set<char>& values : seen) {
    EXPECT_GT(values.size(), 50U);
  }
}

TEST(StreamToken, IsVerifiedAsPeopleTypeIt) {
  const SecretKey key = key_of(1);
  // One with both a zero and a one in it, to be mistyped.
  NewToken token;
  do {
    token = make_stream_token(key);
  } while (token.word.find('0') == std::string::npos ||
           token.word.find('1') == std::string::npos);
  EXPECT_TRUE(verify_stream_token(key, token.hash, token.word));
  std::string plain = token.word, capitals = token.word, alike = token.word;
  std::erase(plain, '-');
  std::transform(
      capitals.begin(), capitals.end(), capitals.begin(), [](char c) {
        return c >= 'a' && c <= 'z' ? static_cast<char>(c - 32) : c;
      });
  std::replace(alike.begin(), alike.end(), '0', 'O');
  std::replace(alike.begin(), alike.end(), '1', 'l');
  for (const std::string& typed : {plain, capitals, alike}) {
    EXPECT_TRUE(verify_stream_token(key, token.hash, typed)) << typed;
  }
}

TEST(StreamToken, IsRefusedWithAnyLetterChanged) {
  const SecretKey key = key_of(1);
  const NewToken token = make_stream_token(key);
  for (std::size_t at = 0; at < token.word.size(); ++at) {
    if (token.word[at] == '-') {
      continue;
    }
    std::string other = token.word;
    other[at] = other[at] == '2' ? '3' : '2';
    EXPECT_FALSE(verify_stream_token(key, token.hash, other)) << other;
  }
}

// The last letter has two bits more than the token; they are zero.
TEST(StreamToken, HasOneSpellingOfItsLastLetter) {
  const SecretKey key = key_of(1);
  const NewToken token = make_stream_token(key);
  const std::string alphabet = "0123456789abcdefghjkmnpqrstvwxyz";
  const std::size_t last = alphabet.find(token.word.back());
  ASSERT_EQ(last % 4, 0U);
  for (const std::size_t more : {1U, 2U, 3U}) {
    std::string other = token.word;
    other.back() = alphabet[last + more];
    EXPECT_FALSE(verify_stream_token(key, token.hash, other)) << other;
  }
}

TEST(StreamToken, IsRefusedWhereItIsNone) {
  const SecretKey key = key_of(1);
  const NewToken token = make_stream_token(key);
  for (const std::string& word : {std::string(),
                                  token.word.substr(1),
                                  token.word + "0",
                                  " " + token.word,
                                  std::string(5000, '0'),
                                  std::string("\0", 1)}) {
    EXPECT_FALSE(verify_stream_token(key, token.hash, word)) << word;
  }
  EXPECT_FALSE(verify_stream_token(key_of(2), token.hash, token.word));
  EXPECT_FALSE(
      verify_stream_token(key, make_stream_token(key).hash, token.word));
}

// Neither a hash that cannot be read nor a word that cannot be read may meet
// the stand-in of the other.
TEST(StreamToken, IsNotVerifiedByWhatStandsInForNothing) {
  const SecretKey key = key_of(1);
  const std::string zero_word(26, '0');
  const std::string message =
      std::string("\x17\0\0\0\0\0\0\0", 8) + "stillpoint stream token" +
      std::string("\x10\0\0\0\0\0\0\0", 8) + std::string(16, '\0');
  const std::string zero_hash =
      "blake2b:" + hex_of(openssl_blake2b(key.bytes(), message));
  EXPECT_TRUE(verify_stream_token(key, zero_hash, zero_word));
  EXPECT_FALSE(verify_stream_token(key, zero_hash, "no token"));
  for (const std::size_t size : {0U, 24U, 25U}) {
    EXPECT_FALSE(verify_stream_token(key, zero_hash, std::string(size, '0')));
  }
  for (const std::string& bad : {std::string(),
                                 "blake2c:" + zero_hash.substr(8),
                                 zero_hash.substr(1),
                                 zero_hash.substr(0, 71),
                                 zero_hash + "0",
                                 "blake2b:" + std::string(64, 'x'),
                                 std::string("$argon2id$v=19$")}) {
    EXPECT_FALSE(verify_stream_token(key, bad, zero_word)) << bad;
  }
}

TEST(SecretKey, LeavesNothingBehindWhereItWasTakenFrom) {
  SecretKey from = key_of(1);
  const SecretKey to = std::move(from);
  EXPECT_TRUE(std::ranges::equal(to.bytes(), key_of(1).bytes()));
  // That nothing is left is the test.
  // NOLINTNEXTLINE(bugprone-use-after-move,clang-analyzer-cplusplus.Move)
  EXPECT_TRUE(
      std::ranges::all_of(from.bytes(), [](std::uint8_t b) { return b == 0; }));
}

}  // namespace
}  // namespace stillpoint::people
