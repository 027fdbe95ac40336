#include "stillpoint/ntrip/server/gga_keeper.h"

#include <gtest/gtest.h>

#include <string>
#include <string_view>

namespace stillpoint::ntrip {
namespace {

// Checksums worked out with a separate script (exclusive or of the letters
// between $ and *).
constexpr std::string_view kOne =
    "$GPGGA,120000.00,4717.0000,N,00834.0000,E,1,12,0.8,450.0,M,47.0,M,,*6C";
constexpr std::string_view kTwo =
    "$GNGGA,120005.00,4717.0100,N,00834.0000,E,4,12,0.8,450.0,M,47.0,M,,*73";

std::string last_of(std::string_view text, std::size_t size) {
  GgaKeeper keeper;
  while (!text.empty()) {
    const std::string_view piece = text.substr(0, size);
    text.remove_prefix(piece.size());
    keeper.feed(
        {reinterpret_cast<const std::uint8_t*>(piece.data()), piece.size()});
  }
  return keeper.last();
}

TEST(GgaKeeper, KeepsTheLastGoodPositionHoweverItIsSplit) {
  std::string bad(kTwo);
  bad.back() = '0';
  const std::string noise = std::string(500, 'x') + "\xFF\n$GPRMC,1*00\r\n" +
                            "$GPGGA\r\n$\n\n" + bad + "\r\n";
  const std::string one(kOne);
  const std::string two(kTwo);
  std::string first = one;
  first.append("\r\n").append(noise);
  std::string both = noise;
  both.append(one).append("\n").append(two).append("\n").append(noise);
  for (std::size_t size = 1; size < 200; ++size) {
    ASSERT_EQ(last_of(first, size), one);
    ASSERT_EQ(last_of(both, size), two);
    ASSERT_EQ(last_of(noise + one, size), "") << "its end has not come";
  }
}

TEST(GgaKeeper, LineThatNeverEndsIsNotKept) {
  const std::string text = "$GPGGA," + std::string(100'000, '1') + "\n";
  EXPECT_EQ(last_of(text, 1000), "");
}

}  // namespace
}  // namespace stillpoint::ntrip
