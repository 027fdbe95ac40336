#include "stillpoint/simulate/output/receiver_port.h"

#include <gtest/gtest.h>

#include <cmath>

#include "stillpoint/profile/profile.h"
#include "stillpoint/profile/shipped.h"
#include "stillpoint/profile/start_up.h"
#include "stillpoint/simulate/simulate_test_support.h"

namespace stillpoint::simulate {
namespace {

struct World {
  Scenario scenario = test::small_world();
  Sky sky{scenario};
  SimulatedReceiver receiver{sky, 0};
  ReceiverPort port{sky, scenario.receivers.front(), {}};
};

// A command as receivers/spdemo-r1.toml draws it.
std::vector<std::uint8_t> command(std::uint8_t number,
                                  const std::vector<std::uint8_t>& payload) {
  std::vector<std::uint8_t> p;
  p.reserve(16 + payload.size());
  for (const std::size_t byte : {std::size_t{0x9E},
                                 std::size_t{0xC4},
                                 std::size_t{number},
                                 std::size_t{0},
                                 payload.size(),
                                 std::size_t{0}}) {
    p.push_back(static_cast<std::uint8_t>(byte));
  }
  for (const std::uint8_t byte : payload) {
    p.push_back(byte);
  }
  profile::append_checksum({.rule = profile::ChecksumRule::kCrc32, .from = 2},
                           p);
  return p;
}

TEST(ReceiverPort, ObeysTheIntervalAndSaysSo) {
  World w;
  // 5000 ms
  const auto answer = w.port.take(command(0x10, {0x88, 0x13}));
  ASSERT_GT(answer.size(), 6U);
  EXPECT_EQ(answer[2], 0xA0);
  EXPECT_EQ(answer[6], 0x10);
  Epoch epoch;
  w.receiver.observe(1, epoch, nullptr);
  EXPECT_TRUE(w.port.epoch(epoch)->empty());
  w.receiver.observe(5, epoch, nullptr);
  EXPECT_FALSE(w.port.epoch(epoch)->empty());
}

TEST(ReceiverPort, RefusesWhatItDoesNotKnow) {
  World w;
  const auto answer = w.port.take(command(0x77, {}));
  ASSERT_GT(answer.size(), 7U);
  EXPECT_EQ(answer[2], 0xA1);
  EXPECT_EQ(answer[6], 0x77);
  EXPECT_EQ(w.port.settings().refused, 1U);
  // A position in the Earth's middle.
  const auto middle =
      w.port.take(command(0x12, std::vector<std::uint8_t>(24, 0)));
  EXPECT_EQ(middle[2], 0xA1);
  EXPECT_FALSE(w.port.settings().arp_m);
}

TEST(ReceiverPort, DamagedCommandsAreNotObeyed) {
  World w;
  auto bytes = command(0x10, {0x88, 0x13});
  bytes[7] ^= 1;
  EXPECT_TRUE(w.port.take(bytes).empty());
  EXPECT_FALSE(w.port.settings().told_interval);
}

TEST(ReceiverPort, TakesAllThatTheShippedProfileSends) {
  World w;
  const auto shipped = profile::find_shipped_profile("spdemo-r1");
  ASSERT_TRUE(shipped);
  const auto parsed = profile::parse_profile(shipped->toml, "x");
  ASSERT_TRUE(parsed);
  EXPECT_EQ(parsed->steps.size(), 3U);
  // X, Y, Z of a place on the ground, tenths of a millimetre.
  std::vector<std::uint8_t> payload;
  const Ecef arp = to_ecef(w.scenario.receivers.front().marker);
  for (const double v : {arp.x_m, arp.y_m, arp.z_m}) {
    auto raw = static_cast<std::uint64_t>(std::llround(v * 1e4));
    for (int i = 0; i < 8; ++i) {
      payload.push_back(static_cast<std::uint8_t>(raw & 0xffU));
      raw >>= 8U;
    }
  }
  EXPECT_EQ(w.port.take(command(0x12, payload))[2], 0xA0);
  ASSERT_TRUE(w.port.settings().arp_m);
  EXPECT_LT(norm(*w.port.settings().arp_m - arp), 1e-3);
}

}  // namespace
}  // namespace stillpoint::simulate
