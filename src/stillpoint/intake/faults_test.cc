#include "stillpoint/intake/faults.h"

#include <gtest/gtest.h>

#include <bit>

namespace stillpoint::intake {
namespace {

const std::vector<std::uint8_t> kPiece(100, 0x5A);

TEST(Faults, NothingAskedChangesNothing) {
  Faults faults({});
  const ByteSpan out = faults.apply(kPiece);
  EXPECT_TRUE(std::equal(out.begin(), out.end(), kPiece.begin(), kPiece.end()));
}

// kind: cross, the share that was asked for
// tolerance: 5 sigma of a binomial count
TEST(Faults, DropsTheShareThatIsAskedFor) {
  Faults faults({.drop = 0.1});
  int gone = 0;
  for (int i = 0; i < 10'000; ++i) {
    gone += faults.apply(kPiece).empty() ? 1 : 0;
  }
  EXPECT_NEAR(gone, 1000, 150);
  EXPECT_EQ(faults.counts().pieces_dropped, static_cast<unsigned>(gone));
  EXPECT_EQ(faults.counts().bytes_dropped, static_cast<unsigned>(gone) * 100);
  EXPECT_TRUE(Faults({.drop = 1}).apply(kPiece).empty());
}

// kind: cross, the share that was asked for
// tolerance: 5 sigma of a binomial count
TEST(Faults, TurnsOneBitInTheShareOfBytes) {
  Faults faults({.flip = 0.01});
  int bits = 0;
  for (int i = 0; i < 1000; ++i) {
    for (const std::uint8_t byte : faults.apply(kPiece)) {
      bits += std::popcount(static_cast<unsigned>(byte ^ 0x5A));
    }
  }
  EXPECT_NEAR(bits, 1000, 160);
  EXPECT_EQ(faults.counts().bits_flipped, static_cast<unsigned>(bits));
}

TEST(Faults, TheSameSeedDamagesTheSameBytes) {
  Faults a({.flip = 0.05, .seed = 9});
  Faults b({.flip = 0.05, .seed = 9});
  Faults other({.flip = 0.05, .seed = 10});
  const ByteSpan of_a = a.apply(kPiece);
  const ByteSpan of_b = b.apply(kPiece);
  EXPECT_TRUE(std::equal(of_a.begin(), of_a.end(), of_b.begin(), of_b.end()));
  const ByteSpan of_other = other.apply(kPiece);
  EXPECT_FALSE(
      std::equal(of_a.begin(), of_a.end(), of_other.begin(), of_other.end()));
}

}  // namespace
}  // namespace stillpoint::intake
