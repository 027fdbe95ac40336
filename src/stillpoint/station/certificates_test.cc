#include "stillpoint/station/certificates.h"

#include <gtest/gtest.h>

#include "stillpoint/net/self_signed.h"
#include "stillpoint/station/small_file.h"
#include "stillpoint/station/station_test_support.h"

namespace stillpoint::station {
namespace {

constexpr std::int64_t kNow = 1'790'000'000;  // 2026-09
constexpr std::int64_t kDay = 86'400;

TEST(OwnCertificate, IsMadeOnceKeptAndMadeAnewBeforeItEnds) {
  const test::TempFolder folder;
  const auto first = own_certificate(folder.path(), {"lhol"}, kNow);
  ASSERT_TRUE(first) << first.error().text();
  const auto kept = own_certificate(folder.path(), {"lhol"}, kNow + kDay);
  ASSERT_TRUE(kept);
  EXPECT_EQ(kept->fingerprint, first->fingerprint);
  const auto late =
      own_certificate(folder.path(), {"lhol"}, first->end_unix_s - 29 * kDay);
  ASSERT_TRUE(late);
  EXPECT_NE(late->fingerprint, first->fingerprint);
  EXPECT_GT(late->end_unix_s, first->end_unix_s);
}

TEST(OwnCertificate, ADamagedOneIsReplaced) {
  const test::TempFolder folder;
  ASSERT_TRUE(own_certificate(folder.path(), {"lhol"}, kNow));
  ASSERT_TRUE(write_private_file(folder / "own.crt", "damaged"));
  EXPECT_TRUE(own_certificate(folder.path(), {"lhol"}, kNow));
}

TEST(ReadCertificate, WantsTheKeyOfTheCertificate) {
  const test::TempFolder folder;
  for (const char* name : {"a", "b"}) {
    const auto made = net::make_own_certificate({"lhol"}, kNow);
    ASSERT_TRUE(made);
    ASSERT_TRUE(write_private_file(folder / (std::string(name) + ".crt"),
                                   made->certificate));
    ASSERT_TRUE(
        write_private_file(folder / (std::string(name) + ".key"), made->key));
  }
  EXPECT_TRUE(read_certificate(folder / "a.crt", folder / "a.key"));
  const auto mixed = read_certificate(folder / "a.crt", folder / "b.key");
  ASSERT_FALSE(mixed);
  EXPECT_EQ(mixed.error().where, folder / "b.key");
  const auto swapped = read_certificate(folder / "a.key", folder / "a.crt");
  ASSERT_FALSE(swapped);
  EXPECT_EQ(swapped.error().code, ErrorCode::kConfig);
  EXPECT_FALSE(read_certificate(folder / "none", folder / "a.key"));
}

}  // namespace
}  // namespace stillpoint::station
