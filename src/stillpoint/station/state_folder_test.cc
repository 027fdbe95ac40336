#include "stillpoint/station/state_folder.h"

#include <gtest/gtest.h>
#include <sys/stat.h>

#include <optional>

#include "stillpoint/station/station_test_support.h"

namespace stillpoint::station {
namespace {

TEST(StateFolder, IsMadeWithWhatBelongsIntoIt) {
  const test::TempFolder folder;
  const auto state = StateFolder::open(folder / "state");
  ASSERT_TRUE(state);
  EXPECT_TRUE(std::filesystem::is_directory(state->raw()));
  struct stat info {};
  ASSERT_EQ(::stat(state->keys().c_str(), &info), 0);
  EXPECT_EQ(info.st_mode & 0777U, 0700U);
}

TEST(StateFolder, KeepsASecondStationOutUntilTheFirstHasGone) {
  const test::TempFolder folder;
  auto opened = StateFolder::open(folder / "state");
  ASSERT_TRUE(opened);
  std::optional<StateFolder> first(std::move(*opened));
  const auto second = StateFolder::open(folder / "state");
  ASSERT_FALSE(second);
  EXPECT_EQ(second.error().code, ErrorCode::kUsage);
  first.reset();
  EXPECT_TRUE(StateFolder::open(folder / "state"));
}

TEST(StateFolder, SaysWhichFolderIsMissing) {
  const test::TempFolder folder;
  const auto state = StateFolder::open(folder / "no/state");
  ASSERT_FALSE(state);
  EXPECT_EQ(state.error().code, ErrorCode::kIo);
  EXPECT_EQ(state.error().where, folder / "no/state");
}

TEST(StateFolder, AFileInItsPlaceIsNoFolder) {
  const test::TempFolder folder;
  std::filesystem::create_directory(folder / "state");
  std::filesystem::create_symlink("/dev/null", folder / "state/raw");
  EXPECT_FALSE(StateFolder::open(folder / "state"));
}

}  // namespace
}  // namespace stillpoint::station
