#include "stillpoint/intake/epoch_pace.h"

#include <gtest/gtest.h>

#include "stillpoint/intake/intake_test_support.h"

namespace stillpoint::intake {
namespace {

struct Piece {
  std::size_t bytes;
  double due_s;
  friend bool operator==(const Piece&, const Piece&) = default;
};

std::vector<Piece> pieces_of(const Bytes& bytes) {
  EpochPace pace;
  std::vector<Piece> pieces;
  for (std::size_t at = 0; at < bytes.size();) {
    const auto step = pace.next(ByteSpan(bytes).subspan(at));
    pieces.push_back({step.bytes, step.due_s});
    at += step.bytes;
  }
  return pieces;
}

const Rows kOne{{{System::kGps, 7}, {row("1C", 2.1e7)}}};

TEST(EpochPace, FramesAreDueAtTheirEpochs) {
  Bytes bytes = epoch_frames(0, kOne);
  const std::size_t size = bytes.size();
  append(bytes, position_frame(kPoint));
  append(bytes, epoch_frames(0.5, kOne));
  append(bytes, epoch_frames(30, kOne));
  EXPECT_EQ(pieces_of(bytes),
            (std::vector<Piece>{{size, 0}, {25, 0}, {size, 0.5}, {size, 30}}));
}

TEST(EpochPace, OtherBytesGoWithWhatWentBefore) {
  Bytes bytes = text("garbage");
  append(bytes, epoch_frames(0, kOne));
  append(bytes, epoch_frames(2, kOne));
  append(bytes, text("$GNGGA,"));
  const auto pieces = pieces_of(bytes);
  ASSERT_EQ(pieces.size(), 4U);
  EXPECT_EQ(pieces[0], (Piece{7, 0}));
  EXPECT_EQ(pieces[3], (Piece{7, 2}));
}

TEST(EpochPace, AFalseStartIsStepped) {
  Bytes bytes{0xD3, 0x00, 0x04, 1, 2, 3, 4, 5, 6, 7};
  append(bytes, epoch_frames(0, kOne));
  EXPECT_EQ(pieces_of(bytes).size(), 2U);
}

TEST(EpochPace, JumpsGoOnAtOnce) {
  Bytes bytes = epoch_frames(100, kOne);
  append(bytes, epoch_frames(0, kOne));
  append(bytes, epoch_frames(1, kOne));
  append(bytes, epoch_frames(5000, kOne));
  append(bytes, epoch_frames(5001, kOne));
  std::vector<double> due;
  for (const Piece& piece : pieces_of(bytes)) {
    due.push_back(piece.due_s);
  }
  EXPECT_EQ(due, (std::vector<double>{0, 0, 1, 1, 2}));
}

}  // namespace
}  // namespace stillpoint::intake
