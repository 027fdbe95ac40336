#include <gtest/gtest.h>

#include <string>

#include "stillpoint/net/net_test_support.h"
#include "stillpoint/net/source_address.h"

namespace stillpoint::net {
namespace {

SourceAddress from_file(const std::string& path) {
  SourceAddress address;
  address.password_file = path;
  return address;
}

std::optional<std::string> environment(const std::string& name) {
  return name == "CASTER_PASSWORD" ? std::optional<std::string>("hunter2")
                                   : std::nullopt;
}

TEST(ReadPassword, TakesTheLineWithoutItsEnd) {
  const test::TempDir dir;
  for (const char* content :
       {"pass word:@", "pass word:@\n", "pass word:@\r\n"}) {
    auto read = read_password(from_file(dir.file("p", content)), environment);
    ASSERT_TRUE(read) << read.error().text();
    EXPECT_EQ(*read, "pass word:@");
  }
}

TEST(ReadPassword, FilesWithoutOnePasswordAreRefusedUnrepeated) {
  const test::TempDir dir;
  for (const std::string& content : {std::string(),
                                     std::string("\n"),
                                     std::string("hunter2\nsecond\n"),
                                     std::string("hunter2\0x", 9),
                                     "hunter2" + std::string(1020, 'x'),
                                     "hunter2" + std::string(100000, 'x')}) {
    auto read = read_password(from_file(dir.file("p", content)), environment);
    ASSERT_FALSE(read) << content.size();
    EXPECT_EQ(read.error().code, ErrorCode::kUsage);
    EXPECT_EQ(read.error().text().find("hunter2"), std::string::npos);
  }
}

TEST(ReadPassword, MissingFileAndFolderAreIoErrors) {
  const test::TempDir dir;
  for (const auto& path : {dir.path("none"), dir.path("")}) {
    auto read = read_password(from_file(path), environment);
    ASSERT_FALSE(read);
    EXPECT_EQ(read.error().code, ErrorCode::kIo);
    EXPECT_EQ(read.error().where, path);
  }
}

TEST(ReadPassword, AsksTheEnvironmentHandedIn) {
  SourceAddress address;
  address.password_env = "CASTER_PASSWORD";
  auto read = read_password(address, environment);
  ASSERT_TRUE(read);
  EXPECT_EQ(*read, "hunter2");
  EXPECT_EQ(read_password(address, {}).error().code, ErrorCode::kUsage);
  address.password_env = "OTHER";
  EXPECT_EQ(read_password(address, environment).error().code,
            ErrorCode::kUsage);
}

TEST(ReadPassword, EmptyWhereNoneIsNamed) {
  auto read = read_password(SourceAddress{}, environment);
  ASSERT_TRUE(read);
  EXPECT_EQ(*read, "");
}

}  // namespace
}  // namespace stillpoint::net
