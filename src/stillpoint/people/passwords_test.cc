// Argon2id as the database keeps it. The vectors of RFC 9106 section 5 use a
// secret and associated data, which the form with "$" has not; so the check is
// by a vector of the algorithm's reference implementation.
#include <gtest/gtest.h>

#include <string>

#include "stillpoint/people/secrets.h"

namespace stillpoint::people {
namespace {

constexpr std::string_view kGood = "four plain words here";

// kind: published   source: test vectors of the Argon2 reference
// implementation, Argon2id v=19, password "password", salt "somesalt", t = 2,
// 256 KiB, one lane, 32 bytes; from memory (a wrong digit would not verify)
// tolerance: none, bytes
TEST(VerifyPassword, AgreesWithThePublishedHash) {
  constexpr std::string_view kHash =
      "$argon2id$v=19$m=256,t=2,p=1$c29tZXNhbHQ$"
      "nf65EOgLrQMR/uIPnA4rEsF5h7TKyQwu9U1bMCHGi/4";
  EXPECT_EQ(verify_password(kHash, "password"), true);
  EXPECT_EQ(verify_password(kHash, "Password"), false);
  EXPECT_TRUE(needs_rehash(kHash));
}

TEST(HashPassword, IsVerifiedByItsPasswordOnly) {
  const Result<std::string> hash = hash_password(kGood);
  ASSERT_TRUE(hash) << hash.error().text();
  EXPECT_EQ(verify_password(*hash, kGood), true);
  EXPECT_EQ(verify_password(*hash, "four plain words herE"), false);
  EXPECT_EQ(verify_password(*hash, ""), false);
}

TEST(HashPassword, SaysItsCostsAndFitsTheDatabase) {
  const std::string hash = hash_password(kGood).value();
  EXPECT_TRUE(hash.starts_with("$argon2id$v=19$m=12288,t=3,p=1$")) << hash;
  EXPECT_LE(hash.size(), 128U);
  EXPECT_FALSE(needs_rehash(hash));
}

TEST(HashPassword, IsAnotherEachTime) {
  EXPECT_NE(hash_password(kGood).value(), hash_password(kGood).value());
}

TEST(HashPassword, RefusesWhatIsNoPassword) {
  for (const std::string& bad : {std::string(),
                                 std::string(7, 'x'),
                                 std::string(1025, 'x'),
                                 std::string("two\nlines of it"),
                                 std::string("a line end\r"),
                                 std::string("a zero \0 in it", 14)}) {
    const Result<std::string> refused = hash_password(bad);
    ASSERT_FALSE(refused) << bad;
    EXPECT_EQ(refused.error().code, ErrorCode::kOutOfRange);
    EXPECT_FALSE(refused.error().remedy.empty());
  }
  EXPECT_TRUE(hash_password(std::string(8, 'x')));
  EXPECT_TRUE(check_new_password(std::string(1024, 'x')));
}

TEST(VerifyPassword, SaysWhenAHashIsNone) {
  // The last asks for 65 MiB, more than the station gives.
  for (const std::string& bad :
       {std::string(),
        std::string("$argon2id$v=19$m=12288"),
        std::string("blake2b:00"),
        std::string(500, '$'),
        std::string("$argon2id$v=19$m=66560,t=2,p=1$c29tZXNhbHQ$"
                    "nf65EOgLrQMR/uIPnA4rEsF5h7TKyQwu9U1bMCHGi/4")}) {
    const Result<bool> refused = verify_password(bad, kGood);
    ASSERT_FALSE(refused) << bad;
    EXPECT_EQ(refused.error().code, ErrorCode::kBadFormat);
  }
  EXPECT_TRUE(needs_rehash("nothing"));
}

TEST(DecoyHash, CostsWhatOthersCost) {
  EXPECT_FALSE(needs_rehash(decoy_hash()));
  EXPECT_EQ(verify_password(decoy_hash(), kGood), false);
}

TEST(Wipe, LeavesNothing) {
  std::string secret = "a secret that is longer than the short form";
  const char* place = secret.data();
  const std::size_t size = secret.size();
  wipe(secret);
  EXPECT_TRUE(secret.empty());
  // An emptied text keeps its memory, so that the place may still be read.
  ASSERT_GE(secret.capacity(), size);
  EXPECT_EQ(std::string(place, size), std::string(size, '\0'));
}

}  // namespace
}  // namespace stillpoint::people
