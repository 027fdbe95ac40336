#include "stillpoint/people/spelled.h"

#include <gtest/gtest.h>

#include <array>
#include <vector>

#include "stillpoint/people/claim_code.h"
#include "stillpoint/people/keyed_hash.h"
#include "stillpoint/people/session_secret.h"

namespace stillpoint::people {
namespace {

constexpr std::array<std::uint8_t, 8> kBytes{1, 2, 3, 4, 5, 6, 7, 8};
constexpr const char* kWord = "04106-1050r-3gg";

// kind: cross   source: the bytes as one number, cut into groups of five bits
// by whole-number arithmetic in Python
TEST(Spelled, EightBytesAreThirteenSymbols) {
  EXPECT_EQ(spell(kBytes), kWord);
  std::array<std::uint8_t, 8> back{};
  EXPECT_TRUE(read_spelled(kWord, back));
  EXPECT_EQ(back, kBytes);
}

TEST(Spelled, EveryLengthComesBack) {
  for (std::size_t size = 0; size < 20; ++size) {
    std::vector<std::uint8_t> bytes(size);
    for (std::size_t i = 0; i < size; ++i) {
      bytes[i] = static_cast<std::uint8_t>(255 - 7 * i);
    }
    std::vector<std::uint8_t> back(size);
    EXPECT_TRUE(read_spelled(spell(bytes), back)) << size;
    EXPECT_EQ(back, bytes);
  }
}

TEST(Spelled, AnythingElseIsNotRead) {
  std::array<std::uint8_t, 8> room{};
  const std::string word(kWord);
  for (const std::string& bad : {std::string(),
                                 word.substr(0, word.size() - 1),
                                 word + "0",
                                 word.substr(0, word.size() - 1) + "1",
                                 word.substr(0, word.size() - 1) + "u",
                                 std::string(1000, '0')}) {
    EXPECT_FALSE(read_spelled(bad, room)) << bad;
  }
}

// kind: cross   source: hashlib.blake2b(digest_size=32) of Python 3.11 over the
// purpose and the bytes, each behind its length in eight bytes
// tolerance: none, digits
TEST(PlainHash, AgreesWithAnotherImplementation) {
  constexpr const char* kCodeHash =
      "9eeb86db284a0ea0eac59cae5f343e44f247f8b98cff0b7bc699942628d933d0";
  constexpr const char* kSessionHash =
      "4594f26b192ab495f0f573e261772fe64220ab62e875ac487b43da115cbe8107";
  EXPECT_TRUE(is_claim_code(kCodeHash, kWord));
  EXPECT_EQ(session_hash(std::string(43, 'A')), kSessionHash);
  EXPECT_FALSE(is_claim_code(kSessionHash, kWord));
}

TEST(ClaimCode, MayBeTypedAsPeopleType) {
  const std::string hash =
      "9eeb86db284a0ea0eac59cae5f343e44f247f8b98cff0b7bc699942628d933d0";
  EXPECT_TRUE(is_claim_code(hash, std::string("  ") + kWord + " \n"));
  std::string bare, loud;
  for (const char c : std::string(kWord)) {
    if (c != '-') {
      bare += c;
    }
    loud += static_cast<char>(c >= 'a' && c <= 'z' ? c - 32 : c);
  }
  EXPECT_TRUE(is_claim_code(hash, bare));
  EXPECT_TRUE(is_claim_code(hash, loud));
  for (const char* bad : {"", "0", "00000-00000-000", "\xFF"}) {
    EXPECT_FALSE(is_claim_code(hash, bad)) << bad;
  }
  EXPECT_FALSE(is_claim_code("", kWord));
  EXPECT_FALSE(is_claim_code(hash.substr(1), kWord));
}

TEST(SessionSecret, HasSoManyRandomBits) {
  const std::string word = random_word(kSessionSecretBytes);
  EXPECT_EQ(word.size(), 43U);  // 256 bits, six a letter
  EXPECT_TRUE(may_be_session_secret(word));
  EXPECT_FALSE(may_be_session_secret(word + "A"));
  EXPECT_EQ(random_word(kCsrfBytes).size(), 22U);
  EXPECT_NE(random_word(kCsrfBytes), random_word(kCsrfBytes));
  EXPECT_EQ(word.find_first_not_of("ABCDEFGHIJKLMNOPQRSTUVWXYZ"
                                   "abcdefghijklmnopqrstuvwxyz"
                                   "0123456789-_"),
            std::string::npos);
}

}  // namespace
}  // namespace stillpoint::people
