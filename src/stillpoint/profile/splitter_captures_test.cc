// Recorded streams of real stations against the other splitter (kind: cross,
// exact).
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <iterator>

#include "stillpoint/profile/splitter_test_support.h"
#include "tests/support/test_data.h"

namespace stillpoint::profile {
namespace {

test::Bytes bytes_of(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  const std::string text{std::istreambuf_iterator<char>(file), {}};
  return test::from_text(text);
}

TEST(SplitterCaptures, FramesAreThoseOfABitByBitScan) {
  const std::string folder = STILLPOINT_DATA_OR_SKIP("rtcm");
  std::size_t files = 0;
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    if (entry.path().extension() != ".rtcm3") {
      continue;
    }
    ++files;
    const test::Bytes stream = bytes_of(entry.path());
    const test::Outcome got = test::split(stream, {});
    EXPECT_GT(got.frames.size(), 0U) << entry.path();
    EXPECT_EQ(got, test::reference(stream, {})) << entry.path();
    EXPECT_EQ(test::split_in_pieces(stream, {}, 1), got) << entry.path();
    EXPECT_EQ(
        test::split_at(stream, {}, test::random_cuts(stream.size(), 1500, 11)),
        got)
        << entry.path();
  }
  EXPECT_GE(files, 1U);
}

}  // namespace
}  // namespace stillpoint::profile
