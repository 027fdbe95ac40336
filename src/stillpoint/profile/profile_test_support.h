// What the tests of profiles and start-ups share.
#pragma once

#include <gtest/gtest.h>

#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/profile/profile.h"
#include "stillpoint/profile/splitter_test_support.h"

namespace stillpoint::profile::test {

// The framing of receivers/spdemo-r1.toml.
inline constexpr std::string_view kDemoFraming = R"(
[[framing]]
name = "SPDEMO"
sync = "9E C4"
length_offset = 4
length_bytes = 2
length_adds = 10
checksum = "crc32"
checksum_from = 2
)";

inline Profile profile_of(std::string_view toml) {
  auto profile = parse_profile(toml, "p.toml");
  EXPECT_TRUE(profile) << profile.error().text();
  return profile ? *profile : Profile{};
}

// A step of these lines, beside the demo's framing.
inline Step step_of(const std::string& lines) {
  const Profile profile =
      profile_of(std::string(kDemoFraming) + "[[step]]\nname = 'x'\n" + lines);
  EXPECT_EQ(profile.steps.size(), 1U);
  return profile.steps.empty() ? Step{} : profile.steps.front();
}

inline std::string text_of(const std::vector<std::uint8_t>& bytes) {
  return {bytes.begin(), bytes.end()};
}

}  // namespace stillpoint::profile::test
