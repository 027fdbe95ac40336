// What is kept and what is not.
#include "stillpoint/fetch/content.h"

#include <gtest/gtest.h>

#include <cstdint>
#include <string>

#include "stillpoint/fetch/fetch_test_support.h"

namespace stillpoint::fetch {
namespace {

ErrorCode code_of(const test::TempDir& dir,
                  const std::string& name,
                  std::string_view content) {
  const auto state = check_content(name, dir.file("part", content));
  return state ? ErrorCode{} : state.error().code;
}

constexpr auto kGood = ErrorCode{};

// kind: published; source: FIPS 180-4 examples as NIST prints them ("abc" and
// the empty message)
TEST(Content, Sha256) {
  const test::TempDir dir;
  const auto abc = content_facts(dir.file("abc", "abc"));
  ASSERT_TRUE(abc);
  EXPECT_EQ(abc->sha256,
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  EXPECT_EQ(abc->size_bytes, 3U);
  EXPECT_EQ(content_facts(dir.file("none", ""))->sha256,
            "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  EXPECT_FALSE(content_facts(dir.path("absent")));
}

TEST(Content, ByItsName) {
  const test::TempDir dir;
  const std::string packed = test::gzipped("#dP2020");
  EXPECT_EQ(code_of(dir, "a.SP3.gz", packed), kGood);
  EXPECT_EQ(code_of(dir, "a.SP3.gz", packed + packed), kGood);
  EXPECT_EQ(code_of(dir, "a.SP3", "#dP2020"), kGood);
  EXPECT_EQ(code_of(dir, "a.Z", "\x1f\x9d\x90rest"), kGood);
  EXPECT_EQ(code_of(dir, "a.bz2", "BZh9rest"), kGood);
  EXPECT_EQ(code_of(dir, "a.SP3.gz", "#dP2020"), ErrorCode::kBadFormat);
  EXPECT_EQ(code_of(dir, "a.SP3.gz", "\x1f\x9d\x90"), ErrorCode::kBadFormat);
  EXPECT_EQ(code_of(dir, "a.Z", packed), ErrorCode::kBadFormat);
  EXPECT_EQ(code_of(dir, "a.SP3", packed), ErrorCode::kBadFormat);
  EXPECT_EQ(code_of(dir, "a.SP3", std::string_view("a\0b", 3)),
            ErrorCode::kBadFormat);
  EXPECT_EQ(code_of(dir, "a.SP3", ""), ErrorCode::kBadFormat);
  EXPECT_EQ(code_of(dir, "a.SP3.gz", ""), ErrorCode::kBadFormat);
}

TEST(Content, AWebPageIsNoProduct) {
  const test::TempDir dir;
  for (const char* name : {"a.SP3.gz", "a.ERP"}) {
    for (const char* page : {"<!DOCTYPE html><title>Sign in</title>",
                             "\r\n  <html>",
                             "\xef\xbb\xbf<HTML>",
                             "<?xml version='1.0'?><Error/>"}) {
      const auto state = check_content(name, dir.file("part", page));
      ASSERT_FALSE(state) << page;
      EXPECT_EQ(state.error().code, ErrorCode::kBadFormat);
      EXPECT_NE(state.error().what.find("web page"), std::string::npos);
    }
  }
}

TEST(Content, EveryCutAndEveryWrongByteOfAPackedFileIsFound) {
  const test::TempDir dir;
  const std::string packed = test::gzipped("first line\nsecond line\n");
  for (std::size_t size = 1; size < packed.size(); ++size) {
    EXPECT_FALSE(check_content(
        "a.gz", dir.file("part", std::string_view(packed).substr(0, size))))
        << size;
  }
  // The head's flags, time and system (bytes 3 to 9) are no data.
  for (std::size_t i = 10; i < packed.size(); ++i) {
    std::string damaged = packed;
    damaged[i] = static_cast<char>(damaged[i] ^ 0x10);
    EXPECT_FALSE(check_content("a.gz", dir.file("part", damaged))) << i;
  }
  EXPECT_EQ(code_of(dir, "a.gz", packed + "junk"), ErrorCode::kBadChecksum);
}

}  // namespace
}  // namespace stillpoint::fetch
