// The station's own frames against frames that others have published.
#include <gtest/gtest.h>

#include <string>

#include "stillpoint/compose/compose_test_support.h"
#include "stillpoint/compose/own_frames.h"
#include "stillpoint/rtcm/raw_station.h"
#include "tests/support/vectors.h"

namespace stillpoint::compose {
namespace {

using test::Block;

Bytes bytes_of_hex(const std::string& hex) {
  Bytes bytes;
  for (std::size_t i = 0; i + 1 < hex.size(); i += 2) {
    bytes.push_back(
        static_cast<std::uint8_t>(std::stoul(hex.substr(i, 2), nullptr, 16)));
  }
  return bytes;
}

// kind: published   source: RTCM 10403.x, worked example of message 1005
// tolerance: 0, the frame agrees byte by byte
TEST(PublishedFrames, TheWorkedExampleOf1005IsWhatWeSend) {
  Composer composer;
  ASSERT_TRUE(composer.set_broadcast(
      Broadcast{.arp_m = {1114104.5999, -4850729.7108, 3975521.4643}}));
  const Frames out =
      frames_of(fed(composer, epoch_frames(0, {System::kGps}, 2003), 0));
  ASSERT_EQ(out.size(), 2U);
  EXPECT_EQ(out[1],
            bytes_of_hex("D300133ED7D30202980EDEEF34B4BD62AC0941986F33360B98"));
}

// Coordinates of 1005 and 1006 as others print them give the same integers.
// kind: published   source and tolerance: in rtcm_station.vec, by block
TEST(PublishedFrames, PrintedCoordinatesGiveTheBitsOfTheirFrames) {
  int positions = 0;
  for (const Block& b : test::read_vectors("rtcm_station.vec")) {
    const double type = b.out("type");
    if (type != 1005 && type != 1006) {
      continue;
    }
    SCOPED_TRACE(b.name);
    Broadcast broadcast;
    broadcast.arp_m = {b.out("x_m"), b.out("y_m"), b.out("z_m")};
    if (b.has("height_m")) {
      broadcast.antenna_height_m = b.out("height_m");
    }
    broadcast.itrf_year = static_cast<int>(b.out("itrf"));
    Composer composer;
    ASSERT_TRUE(composer.set_broadcast(broadcast));
    const auto own = positions_in(
        fed(composer,
            epoch_frames(0, {System::kGps}, static_cast<int>(b.out("station"))),
            0));
    ASSERT_EQ(own.size(), 1U);
    const auto theirs =
        decoded<rtcm::RawStationPosition>(bytes_of_hex(b.word("frame")));
    EXPECT_EQ(own[0].type, theirs.type);
    EXPECT_EQ(own[0].station_id, theirs.station_id);
    EXPECT_EQ(own[0].itrf_year, theirs.itrf_year);
    EXPECT_EQ(own[0].x, theirs.x);
    EXPECT_EQ(own[0].y, theirs.y);
    EXPECT_EQ(own[0].z, theirs.z);
    EXPECT_EQ(own[0].antenna_height, theirs.antenna_height);
    ++positions;
  }
  EXPECT_EQ(positions, 5);
}

// The instant of a 1029: MJD 44244 is 1980-01-06.
GnssTime instant_of(double mjd, double second) {
  const GnssTime day = GnssTime::from_ns(
      static_cast<std::int64_t>(mjd - 44244) * 86'400 * GnssTime::kNsPerS);
  // 60382 is of 2024, GPST 18 s ahead of UTC; 132 is of 1859, before any
  // offset.
  return day + Duration{second + (mjd > 57753 ? 18 : 0)};
}

// kind: published   source and tolerance: in rtcm_station.vec, by block
TEST(PublishedFrames, TextsOf1029GiveTheirFramesByteByByte) {
  int texts = 0;
  for (const Block& b : test::read_vectors("rtcm_station.vec")) {
    if (b.out("type") != 1029) {
      continue;
    }
    SCOPED_TRACE(b.name);
    std::string text;
    for (const double code : b.out_list("text")) {
      text.push_back(static_cast<char>(static_cast<int>(code)));
    }
    EXPECT_EQ(text_frame(static_cast<int>(b.out("station")),
                         fitting_text(text),
                         instant_of(b.out("mjd"), b.out("second"))),
              bytes_of_hex(b.word("frame")));
    ++texts;
  }
  EXPECT_EQ(texts, 2);
}

}  // namespace
}  // namespace stillpoint::compose
