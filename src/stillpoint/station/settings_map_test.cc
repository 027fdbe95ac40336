#include "stillpoint/station/settings_map.h"

#include <gtest/gtest.h>

namespace stillpoint::station {
namespace {

TEST(SettingsMap, UnitsAreThoseOfTheParts) {
  config::ArchiveSection archive;
  archive.commit_s = 10;
  archive.keep_mb = 3;
  archive.keep_days = 2;
  archive.leave_free_mb = 64;
  const RecordingLimits limits = recording_limits(archive);
  // With a look every half second the ten seconds are kept.
  EXPECT_EQ(limits.commit_after.s, 9.5);
  EXPECT_EQ(limits.keep_bytes, 3U * 1024 * 1024);
  EXPECT_EQ(limits.keep_age.s, 2 * 86'400.0);
  EXPECT_EQ(limits.leave_free_bytes, 64U * 1024 * 1024);

  config::RoversSection rovers;
  rovers.lag_kb = 16;
  rovers.lag_s = 3;
  rovers.most = 500;
  const ntrip::FanOutLimits fan = fan_out_limits(rovers);
  EXPECT_EQ(fan.lag_bytes, 16U * 1024);
  EXPECT_EQ(fan.lag_age, std::chrono::seconds{3});
  EXPECT_EQ(fan.most_rovers, 500U);
  EXPECT_GT(fan.most_connections, fan.most_rovers);
}

TEST(SettingsMap, ZeroStaysNoLimit) {
  config::ArchiveSection archive;
  archive.keep_days = archive.keep_mb = 0;
  EXPECT_EQ(recording_limits(archive).keep_bytes, 0U);
  EXPECT_EQ(recording_limits(archive).keep_age.s, 0);
}

}  // namespace
}  // namespace stillpoint::station
