#include "stillpoint/intake/export/epoch_order.h"

#include <gtest/gtest.h>

#include <vector>

namespace stillpoint::intake {
namespace {

// What is given out for epochs at these seconds.
std::vector<int> ordered(const std::vector<int>& seconds,
                         std::uint64_t left_out) {
  EpochOrder order;
  std::vector<int> given;
  const auto give = [&](const RecordedEpoch& r) {
    given.push_back(static_cast<int>(r.epoch.time.ns() / GnssTime::kNsPerS));
    // What belongs to it came with it.
    EXPECT_EQ(r.bytes.from, static_cast<std::uint64_t>(given.back()));
  };
  for (const int s : seconds) {
    RecordedEpoch recorded;
    recorded.epoch.time = GnssTime::from_ns(s * GnssTime::kNsPerS);
    recorded.bytes.from = static_cast<std::uint64_t>(s);
    if (order.exchange(recorded)) {
      give(recorded);
    }
  }
  if (const auto last = order.finish()) {
    give(*last);
  }
  EXPECT_EQ(order.left_out(), left_out);
  return given;
}

TEST(EpochOrder, GivesOutWhatAscends) {
  EXPECT_EQ(ordered({1, 2, 3, 7}, 0), (std::vector{1, 2, 3, 7}));
  EXPECT_EQ(ordered({}, 0), std::vector<int>{});
}

TEST(EpochOrder, LeavesOutWhatComesAgain) {
  EXPECT_EQ(ordered({1, 2, 2, 1, 3, 3}, 3), (std::vector{1, 2, 3}));
}

TEST(EpochOrder, LeavesOutASingleOneThatIsFarAhead) {
  EXPECT_EQ(ordered({1, 2, 604'802, 3, 4}, 1), (std::vector{1, 2, 3, 4}));
  EXPECT_EQ(ordered({900, 1, 2}, 1), (std::vector{1, 2}));
}

}  // namespace
}  // namespace stillpoint::intake
