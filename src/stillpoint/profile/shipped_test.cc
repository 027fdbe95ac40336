#include "stillpoint/profile/shipped.h"

#include <filesystem>
#include <fstream>
#include <iterator>

#include "stillpoint/profile/profile_test_support.h"
#include "tests/support/vectors.h"

namespace stillpoint::profile {
namespace {

std::filesystem::path root() {
  return std::filesystem::path(stillpoint::test::vector_path("crc.vec"))
      .parent_path()
      .parent_path()
      .parent_path();
}

std::string content_of(const std::filesystem::path& path) {
  std::ifstream file(path);
  return {std::istreambuf_iterator<char>(file), {}};
}

Profile shipped(std::string_view name) {
  const auto found = find_shipped_profile(name);
  EXPECT_TRUE(found) << name;
  return test::profile_of(found ? found->toml : "");
}

TEST(Shipped, AreTheFilesOfReceivers) {
  std::size_t files = 0;
  for (const auto& entry :
       std::filesystem::directory_iterator(root() / "receivers")) {
    const auto found = find_shipped_profile(entry.path().stem().string());
    ASSERT_TRUE(found) << entry.path();
    EXPECT_EQ(found->toml, content_of(entry.path()));
    ++files;
  }
  EXPECT_EQ(files, shipped_profiles().size());
}

TEST(Shipped, AnotherNameIsNone) {
  EXPECT_FALSE(find_shipped_profile(""));
  EXPECT_FALSE(find_shipped_profile("spdemo-r1.toml"));
  EXPECT_FALSE(find_shipped_profile("SPDEMO-R1"));
}

TEST(Shipped, NothingIsSentWhereNothingIsToBeSent) {
  EXPECT_TRUE(shipped("nothing-to-send").steps.empty());
  EXPECT_TRUE(shipped("nothing-to-send").framings.empty());
}

TEST(Shipped, TheOthersAskForAReplyAndWaitForAPosition) {
  for (const char* name : {"nmea-text", "spdemo-r1"}) {
    const Profile profile = shipped(name);
    ASSERT_GE(profile.steps.size(), 3U);
    for (const Step& step : profile.steps) {
      EXPECT_FALSE(step.reply.empty()) << step.name;
      EXPECT_FALSE(step.refusal.empty()) << step.name;
    }
    EXPECT_EQ(missing_values(profile.steps.back(), {}),
              (std::vector<std::string>{"x_m", "y_m", "z_m"}));
  }
}

// kind: cross   source: the drawing in the profile; Python's struct and zlib
// tolerance: 0, bytes
TEST(Shipped, TheDemoReceiverIsToldAsItsDrawingSays) {
  const Profile profile = shipped("spdemo-r1");
  const StationValues values{.x_m = 4279402.4, .y_m = 671220, .z_m = 4666639.5};
  const char* const packets[] = {
      "9EC4 1000 0200 E803 ED43B317",
      "9EC4 1100 0E00 EE03 0904 3504 3F04 4904 6704 CE04 E01A4887",
      ("9EC4 1200 1800 40FCB8F609000000 400B149001000000 78AD88DD0A000000 "
       "39FA583A")};
  ASSERT_EQ(profile.steps.size(), std::size(packets));
  for (std::size_t i = 0; i < std::size(packets); ++i) {
    const auto bytes = render(profile.steps[i], values);
    ASSERT_TRUE(bytes);
    EXPECT_EQ(*bytes, test::from_hex(packets[i])) << i;
  }
}

// What the page quotes is what is shipped.
TEST(Shipped, TheTextInTheDocumentIsTheShippedProfile) {
  const std::string document = content_of(root() / "docs" / "receivers.md");
  std::string profiles;
  for (const ShippedProfile& profile : shipped_profiles()) {
    profiles += profile.toml;
  }
  std::size_t quotes = 0;
  for (std::size_t at = 0;
       (at = document.find("```toml\n", at)) != std::string::npos;
       ++quotes) {
    at += 8;
    const std::size_t end = document.find("```", at);
    EXPECT_NE(profiles.find(document.substr(at, end - at)), std::string::npos)
        << document.substr(at, end - at);
    at = end;
  }
  EXPECT_GE(quotes, 3U);
}

}  // namespace
}  // namespace stillpoint::profile
