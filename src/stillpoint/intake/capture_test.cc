#include "stillpoint/intake/capture.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "stillpoint/intake/intake_test_support.h"
#include "stillpoint/rtcm/ephemeris.h"

namespace stillpoint::intake {
namespace {

CaptureBytes reading(Bytes bytes) {
  return [bytes = std::move(bytes), at = std::size_t{0}](
             std::span<char> into) mutable -> Result<std::size_t> {
    const std::size_t n = std::min(into.size(), bytes.size() - at);
    std::copy_n(
        bytes.begin() + static_cast<std::ptrdiff_t>(at), n, into.begin());
    at += n;
    return n;
  };
}

Bytes ephemeris_frame() {
  KeplerEphemeris e;
  e.sat = {System::kGps, 7};
  e.toc = e.toe = kStart + Duration{7200};
  e.sqrt_a_sqrt_m = 5153.6;
  e.accuracy_m = 2;
  return rtcm::make_frame(rtcm::encode_fields(*rtcm::to_raw_gps(e)));
}

const GnssTime kEra = kStart + Duration{86'400 * 700.0};

TEST(Capture, TheFirstReadingFindsWeekPointAndSets) {
  Bytes bytes = epoch_frames(0, kTwoSystems);
  append(bytes, position_frame(kPoint, 0.25));
  append(bytes, position_frame(kPoint));  // 1005 does not take the height away
  append(bytes, antenna_frame("SPDEMO-A1 NONE"));
  append(bytes, ephemeris_frame());
  append(bytes, epoch_frames(1, kTwoSystems));
  const auto facts = read_capture_facts(reading(bytes), {}, kEra);
  ASSERT_TRUE(facts);
  EXPECT_TRUE(facts->week_known);
  EXPECT_EQ(facts->first, kStart);
  EXPECT_EQ(facts->last, kStart + Duration{1});
  EXPECT_EQ(facts->epochs, 2U);
  EXPECT_EQ(facts->navigation.kepler.size(), 1U);
  EXPECT_EQ(facts->position->antenna_height_m, 0.25);
  EXPECT_EQ(facts->antenna, "SPDEMO-A1 NONE");
}

TEST(Capture, TheSecondReadingGivesTheEpochs) {
  Bytes bytes;
  for (int t = 0; t < 200; ++t) {
    append(bytes, epoch_frames(t, kTwoSystems));
  }
  append(bytes, ephemeris_frame());
  const auto facts = read_capture_facts(reading(bytes), {}, kEra);
  ASSERT_TRUE(facts && facts->week_known);
  CaptureEpochs epochs(reading(bytes), *facts);
  Epoch epoch;
  for (int t = 0; t < 200; ++t) {
    ASSERT_TRUE(*epochs.next(epoch));
    EXPECT_EQ(epoch.time, kStart + Duration{static_cast<double>(t)});
    EXPECT_EQ(epoch.satellites.size(), 2U);
  }
  EXPECT_FALSE(*epochs.next(epoch));
}

TEST(Capture, WithoutEphemeridesANamedDayTellsTheWeek) {
  const Bytes bytes = epoch_frames(0, kTwoSystems);
  EXPECT_FALSE(read_capture_facts(reading(bytes), {}, kEra)->week_known);
  const auto facts =
      read_capture_facts(reading(bytes), kStart + Duration{9999}, kEra);
  EXPECT_TRUE(facts->week_known);
  EXPECT_EQ(facts->first, kStart);
}

TEST(Capture, AStreamIsToldFromText) {
  EXPECT_TRUE(looks_like_capture(epoch_frames(0, kTwoSystems)));
  EXPECT_FALSE(looks_like_capture(text("     3.05           OBSERVATION")));
  EXPECT_FALSE(looks_like_capture({}));
}

}  // namespace
}  // namespace stillpoint::intake
