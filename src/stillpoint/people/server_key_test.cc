#include "stillpoint/people/server_key.h"

#include <gtest/gtest.h>
#include <sys/stat.h>

#include <algorithm>
#include <fstream>

#include "stillpoint/people/people_test_support.h"

namespace stillpoint::people {
namespace {

mode_t mode_of(const std::filesystem::path& path) {
  struct stat facts {};
  EXPECT_EQ(::stat(path.c_str(), &facts), 0) << path;
  return facts.st_mode & 07777U;
}

std::string content(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

class ServerKeyTest : public ::testing::Test {
 protected:
  TempFolder folder_;
  const std::filesystem::path path_ = folder_.path() / "keys" / "stream.key";

  void write(const std::string& bytes) {
    std::filesystem::create_directories(path_.parent_path());
    std::ofstream(path_, std::ios::binary) << bytes;
    ASSERT_EQ(::chmod(path_.c_str(), 0600), 0);
  }
  void expect_error(const Result<SecretKey>& key, ErrorCode code) {
    ASSERT_FALSE(key);
    EXPECT_EQ(key.error().code, code) << key.error().text();
    EXPECT_NE(key.error().where.find(folder_.path().string()),
              std::string::npos);
    EXPECT_FALSE(key.error().remedy.empty() && code != ErrorCode::kIo);
  }
};

TEST_F(ServerKeyTest, IsMadeOnceAndOnlyItsOwnerMayReadIt) {
  const mode_t before = ::umask(0);
  const Result<SecretKey> made = open_server_key(path_, Tokens::kNone);
  ::umask(before);
  ASSERT_TRUE(made) << made.error().text();
  EXPECT_EQ(mode_of(path_), 0600U);
  EXPECT_EQ(mode_of(path_.parent_path()), 0700U);
  EXPECT_EQ(content(path_).size(), 32U);
  for (const Tokens tokens : {Tokens::kNone, Tokens::kSome}) {
    const Result<SecretKey> again = open_server_key(path_, tokens);
    ASSERT_TRUE(again);
    EXPECT_TRUE(std::ranges::equal(again->bytes(), made->bytes()));
  }
}

TEST_F(ServerKeyTest, IsAnotherInEachStation) {
  const Result<SecretKey> one = make_server_key(path_);
  const Result<SecretKey> other = make_server_key(folder_.path() / "b" / "key");
  ASSERT_TRUE(one && other);
  EXPECT_FALSE(std::ranges::equal(one->bytes(), other->bytes()));
}

TEST_F(ServerKeyTest, IsWhatTheFileHolds) {
  write(
      std::string("0123456789abcdef\n\r\0\xFF"
                  "ABCDEFGHIJKL",
                  32));
  const Result<SecretKey> key = read_server_key(path_);
  ASSERT_TRUE(key);
  EXPECT_EQ(std::string(key->bytes().begin(), key->bytes().end()),
            content(path_));
}

// A lost key is never replaced where tokens need it.
TEST_F(ServerKeyTest, ThatIsMissedIsAnErrorAndNotMadeAnew) {
  expect_error(read_server_key(path_), ErrorCode::kNoData);
  expect_error(open_server_key(path_, Tokens::kSome), ErrorCode::kNoData);
  EXPECT_FALSE(std::filesystem::exists(path_));
}

TEST_F(ServerKeyTest, OfAnotherLengthIsAnErrorAndStaysAsItIs) {
  for (const std::size_t size : {0U, 31U, 33U, 4096U}) {
    write(std::string(size, 'x'));
    expect_error(read_server_key(path_), ErrorCode::kBadFormat);
    expect_error(open_server_key(path_, Tokens::kNone), ErrorCode::kBadFormat);
    EXPECT_EQ(content(path_).size(), size);
  }
}

TEST_F(ServerKeyTest, ThatOthersMayUseIsRefused) {
  write(std::string(32, 'x'));
  for (const mode_t mode : {0640U, 0604U, 0620U, 0602U}) {
    ASSERT_EQ(::chmod(path_.c_str(), mode), 0);
    expect_error(read_server_key(path_), ErrorCode::kConfig);
  }
  ASSERT_EQ(::chmod(path_.c_str(), 0400), 0);
  EXPECT_TRUE(read_server_key(path_));
}

TEST_F(ServerKeyTest, NeverReplacesOneThatIsThere) {
  write(std::string(32, 'x'));
  const Result<SecretKey> key = make_server_key(path_);
  ASSERT_TRUE(key) << key.error().text();
  EXPECT_EQ(content(path_), std::string(32, 'x'));
  EXPECT_EQ(key->bytes()[0], 'x');
}

TEST_F(ServerKeyTest, MayHaveARelativeName) {
  const std::filesystem::path before = std::filesystem::current_path();
  std::filesystem::current_path(folder_.path());
  const Result<SecretKey> in_a_folder = make_server_key("keys/stream.key");
  const Result<SecretKey> right_here = make_server_key("stream.key");
  std::filesystem::current_path(before);
  EXPECT_TRUE(in_a_folder) << in_a_folder.error().text();
  EXPECT_TRUE(right_here) << right_here.error().text();
}

TEST_F(ServerKeyTest, LeavesNoOtherFileBehind) {
  ASSERT_TRUE(make_server_key(path_));
  ASSERT_TRUE(make_server_key(path_));
  const std::filesystem::directory_iterator files(path_.parent_path());
  EXPECT_EQ(std::distance(begin(files), end(files)), 1);
}

TEST_F(ServerKeyTest, WithoutTheFolderAboveIsAnError) {
  expect_error(
      open_server_key(folder_.path() / "none" / "keys" / "k", Tokens::kNone),
      ErrorCode::kIo);
  expect_error(read_server_key(folder_.path()), ErrorCode::kIo);
}

}  // namespace
}  // namespace stillpoint::people
