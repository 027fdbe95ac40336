#include "stillpoint/station/byte_queue.h"

#include <gtest/gtest.h>

#include <thread>

#include "stillpoint/station/station_test_support.h"

namespace stillpoint::station {
namespace {

using std::chrono::nanoseconds;

ReceivedBytes bytes_of(std::size_t size, std::uint8_t value = 7) {
  return {shared_bytes(std::vector<std::uint8_t>(size, value)), {}};
}

TEST(ByteQueue, GivesInOrderWhatItTookAndIsEmptyThen) {
  ByteQueue queue(100);
  ASSERT_TRUE(queue.push(bytes_of(3, 1)));
  ASSERT_TRUE(queue.push(bytes_of(4, 2)));
  EXPECT_EQ(queue.bytes(), 7U);
  const auto taken = queue.take(nanoseconds{0});
  ASSERT_EQ(taken.size(), 2U);
  EXPECT_EQ(taken[0].bytes->front(), 1);
  EXPECT_EQ(taken[1].bytes->front(), 2);
  EXPECT_EQ(queue.bytes(), 0U);
  EXPECT_TRUE(queue.take(nanoseconds{0}).empty());
}

TEST(ByteQueue, RefusesWhatDoesNotFitAndKeepsTheRest) {
  ByteQueue queue(10);
  EXPECT_TRUE(queue.push(bytes_of(6)));
  EXPECT_FALSE(queue.push(bytes_of(5)));
  EXPECT_TRUE(queue.push(bytes_of(4)));
  EXPECT_EQ(queue.take(nanoseconds{0}).size(), 2U);
}

TEST(ByteQueue, ASourceThatWaitsGoesOnWhenThereIsRoom) {
  ByteQueue queue(10);
  ASSERT_TRUE(queue.push(bytes_of(8)));
  std::thread source([&] { queue.push_waiting(bytes_of(9)); });
  std::size_t bytes = 0;
  while (bytes < 17) {
    for (const ReceivedBytes& item : queue.take(std::chrono::seconds{10})) {
      bytes += item.bytes->size();
    }
  }
  source.join();
  EXPECT_EQ(bytes, 17U);
}

TEST(ByteQueue, AfterTheCloseWhatIsThereCanStillBeTaken) {
  ByteQueue queue(10);
  ASSERT_TRUE(queue.push(bytes_of(8)));
  queue.close();
  EXPECT_TRUE(queue.closed());
  EXPECT_EQ(queue.take(std::chrono::hours{1}).size(), 1U);
  EXPECT_TRUE(queue.take(std::chrono::hours{1}).empty());
}

}  // namespace
}  // namespace stillpoint::station
