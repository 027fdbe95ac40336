#include "stillpoint/station/small_file.h"

#include <gtest/gtest.h>
#include <sys/stat.h>

#include "stillpoint/station/station_test_support.h"

namespace stillpoint::station {
namespace {

TEST(SmallFile, IsReadAsItWasWrittenAndOnlyItsOwnerMay) {
  const test::TempFolder folder;
  const std::string path = folder / "secret";
  const std::string text = std::string("line\n\0binary", 12);
  ASSERT_TRUE(write_private_file(path, "before"));
  ASSERT_TRUE(write_private_file(path, text));
  EXPECT_EQ(read_small_file(path, 100).value(), text);
  struct stat info {};
  ASSERT_EQ(::stat(path.c_str(), &info), 0);
  EXPECT_EQ(info.st_mode & 0777U, 0600U);
  EXPECT_FALSE(std::filesystem::exists(path + ".part"));
}

TEST(SmallFile, OfMoreBytesThanAllowedIsRefused) {
  const test::TempFolder folder;
  ASSERT_TRUE(write_private_file(folder / "f", std::string(11, 'x')));
  EXPECT_EQ(read_small_file(folder / "f", 10).error().code,
            ErrorCode::kTooLarge);
  EXPECT_TRUE(read_small_file(folder / "f", 11));
}

TEST(SmallFile, ThatIsNotThereSaysItsName) {
  const test::TempFolder folder;
  const auto read = read_small_file(folder / "none", 10);
  ASSERT_FALSE(read);
  EXPECT_EQ(read.error().where, folder / "none");
  EXPECT_FALSE(write_private_file(folder / "none/none", "x"));
}

}  // namespace
}  // namespace stillpoint::station
