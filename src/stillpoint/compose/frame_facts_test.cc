#include "stillpoint/compose/frame_facts.h"

#include <gtest/gtest.h>

#include "stillpoint/compose/compose_test_support.h"
#include "stillpoint/rtcm/raw_legacy.h"
#include "stillpoint/rtcm/raw_msm.h"

namespace stillpoint::compose {
namespace {

TEST(FrameFacts, ObservationsAreMsmAndTheLegacyOnes) {
  int found = 0;
  for (int type = 0; type < 4096; ++type) {
    const bool legacy =
        (type >= 1001 && type <= 1004) || (type >= 1009 && type <= 1012);
    EXPECT_EQ(is_observation_type(type), legacy || rtcm::msm_type(type))
        << type;
    found += is_observation_type(type) ? 1 : 0;
  }
  EXPECT_EQ(found, 8 + 7 * 7);
}

// kind: cross   the decoder of whole messages agrees
TEST(FrameFacts, BitsOfMsmAreThoseThatTheDecoderReads) {
  for (const Bytes& frame :
       epoch_frames(3, {System::kGps, System::kGlonass, System::kBeidou})) {
    rtcm::RawMsm msm;
    ASSERT_TRUE(rtcm::decode_msm(rtcm::payload_of(frame), msm));
    const FrameFacts facts = frame_facts(frame);
    EXPECT_EQ(facts.type, msm.type);
    EXPECT_EQ(facts.station_id, msm.station_id);
    ASSERT_TRUE(facts.observation);
    EXPECT_EQ(facts.observation->epoch, msm.epoch);
    EXPECT_EQ(facts.observation->more_follows, msm.multiple);
    const FrameFacts last =
        frame_facts(changed_frame(frame, facts, {{}, true}));
    EXPECT_FALSE(last.observation->more_follows);
    EXPECT_EQ(last.observation->epoch, msm.epoch);
  }
}

// kind: cross   the writer of whole messages agrees
TEST(FrameFacts, BitsOfLegacyMessagesAreThoseThatTheWriterWrites) {
  for (std::uint16_t type = 1001; type <= 1004; ++type) {
    rtcm::RawLegacyGps gps;
    gps.type = type;
    for (const bool more : {false, true}) {
      gps.tow_ms = 604'799'999;
      gps.more_follows = more;
      const FrameFacts facts = frame_facts(framed(gps));
      ASSERT_TRUE(facts.observation);
      EXPECT_EQ(facts.observation->epoch, gps.tow_ms);
      EXPECT_EQ(facts.observation->more_follows, more);
    }
  }
  for (std::uint16_t type = 1009; type <= 1012; ++type) {
    rtcm::RawLegacyGlonass glonass;
    glonass.type = type;
    for (const bool more : {false, true}) {
      glonass.day_ms = 86'400'999;
      glonass.more_follows = more;
      const Bytes frame = framed(glonass);
      const FrameFacts facts = frame_facts(frame);
      ASSERT_TRUE(facts.observation);
      EXPECT_EQ(facts.observation->epoch, glonass.day_ms);
      EXPECT_EQ(facts.observation->more_follows, more);
      glonass.more_follows = false;
      EXPECT_EQ(changed_frame(frame, facts, {{}, true}), framed(glonass));
    }
  }
}

TEST(FrameFacts, ShortPayloadsSayWhatTheyCan) {
  EXPECT_EQ(frame_facts(rtcm::make_frame({})).type, 0);
  const Bytes two = rtcm::make_frame(Bytes{0x43, 0x50});  // 1077
  const FrameFacts facts = frame_facts(two);
  EXPECT_EQ(facts.type, 1077);
  EXPECT_FALSE(facts.station_id);
  ASSERT_TRUE(facts.observation);
  EXPECT_FALSE(facts.observation->more_follows);
  EXPECT_EQ(changed_frame(two, facts, {.station_id = 7, .ends_epoch = true}),
            two)
      << "no place for either";
}

TEST(ChangedFrame, TheTypeBesideTheIdStays) {
  const Bytes frame = receiver_position_frame(kPoint);
  const FrameFacts facts = frame_facts(frame);
  for (const int id : {0, 1, 255, 256, 4095}) {
    const Bytes changed = changed_frame(frame, facts, {id, false});
    EXPECT_TRUE(rtcm::is_good_frame(changed));
    EXPECT_EQ(frame_facts(changed).type, 1005);
    EXPECT_EQ(frame_facts(changed).station_id, id);
    EXPECT_EQ(changed_frame(changed, facts, {kReceiverId, false}), frame);
  }
}

}  // namespace
}  // namespace stillpoint::compose
