// Real navigation files, read, written and read again.
#include <gtest/gtest.h>

#include <algorithm>

#include "stillpoint/rinex/navigation_writer_test_support.h"
#include "tests/support/test_data.h"

namespace stillpoint::rinex {
namespace {

constexpr const char* kFiles[] = {
    "days/BRD400DLR_S_20230710000_01D_MN.rnx.gz",
    "esbc-2020-177/ESBC00DNK_R_20201770000_01D_MN.rnx.gz",
    "days/GRAS00FRA_R_20242090000_01D_EN.rnx.gz",
    "days/NYA100NOR_S_20241270000_01D_EN.rnx.gz",
    "days/NYA100NOR_S_20241270000_01D_GN.rnx.gz",
    "days/brdc0200.05n.gz"};

NavigationData read(const std::string& path) {
  auto stream = open_unpacked(path);
  EXPECT_TRUE(stream);
  auto file = read_navigation(std::move(*stream));
  EXPECT_TRUE(file) << file.error().text();
  return file ? std::move(file->data) : NavigationData{};
}

// kind: cross
// source: the files' own numbers
// tolerance: none. They are printed with thirteen digits at most, as we print
// them; version 4 prints the ionosphere's as well
TEST(NavigationWriterFiles, EveryFileComesBackFromVersion4) {
  for (const char* name : kFiles) {
    const std::string path = STILLPOINT_DATA_OR_SKIP(name);
    NavigationData data = read(path);
    SCOPED_TRACE(name);
    LeftOutValues left_out;
    const std::string text =
        test::written(data, {.version = Version::k402}, &left_out);
    for (const auto& [what, count] : left_out) {
      ADD_FAILURE() << what << " " << count;
    }
    test::sort_as_written(data);
    const NavigationData back = test::read_back(text);
    test::expect_same(back, data, 0);
    EXPECT_EQ(test::written(back, {.version = Version::k402}), text);
  }
}

// kind: cross
// source: as above
// tolerance: none; ionosphere parameters have five digits in version 3, 1e-4
TEST(NavigationWriterFiles, EveryFileComesBackFromVersion3) {
  for (const char* name : kFiles) {
    const std::string path = STILLPOINT_DATA_OR_SKIP(name);
    NavigationData data = read(path);
    SCOPED_TRACE(name);
    LeftOutValues left_out;
    const std::string text =
        test::written(data, {.version = Version::k305}, &left_out);
    const auto erased =
        std::erase_if(data.kepler, [](const KeplerEphemeris& e) {
          return e.message == NavMessage::kCnav ||
                 e.message == NavMessage::kCnav2 ||
                 e.message == NavMessage::kBcnav1 ||
                 e.message == NavMessage::kBcnav2;
        });
    std::uint64_t named = 0;
    for (const auto& [what, count] : left_out) {
      named += count;
    }
    EXPECT_EQ(named, erased);
    test::sort_as_written(data);
    const NavigationData back = test::read_back(text);
    NavigationData coarse = data;
    coarse.ionosphere = back.ionosphere;
    test::expect_same(back, coarse, 0);
    coarse = back;
    coarse.ionosphere = data.ionosphere;
    test::expect_same(back, coarse, 1e-4);
    EXPECT_EQ(test::written(back, {.version = Version::k305}), text);
  }
}

// kind: cross
// source: as above
// tolerance: none; ionosphere as above
TEST(NavigationWriterFiles, GpsComesBackFromVersion2) {
  const std::string path = STILLPOINT_DATA_OR_SKIP("days/brdc0200.05n.gz");
  NavigationData data = read(path);
  const NavigationWriterOptions options{.version = Version::k211,
                                        .only = System::kGps};
  LeftOutValues left_out;
  const std::string text = test::written(data, options, &left_out);
  EXPECT_TRUE(left_out.empty());
  test::sort_as_written(data);
  test::expect_same(test::read_back(text), data, 0);
}

}  // namespace
}  // namespace stillpoint::rinex
