// Limits that change while rovers are there.
#include <gtest/gtest.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <string>
#include <thread>
#include <vector>

#include "stillpoint/ntrip/server/fan_test_support.h"
#include "stillpoint/ntrip/server/listen_socket.h"

namespace stillpoint::ntrip {
namespace {

using std::chrono::seconds;

// Small buffers, so that a rover that does not read is soon noticed; only the
// limit that a test is about can cut it.
FanOutOptions patient() {
  FanOutOptions options;
  options.send_buffer_bytes = 4096;
  options.lag_bytes = std::size_t{1} << 20;
  options.lag_age = options.write_deadline = seconds{1000};
  return options;
}

struct FrozenBesideGood {
  explicit FrozenBesideGood(const FanOutOptions& options)
      : fan(options, 1), frozen(fan.port, 2048), good(fan.port) {
    for (const TestRover* rover : {&frozen, &good}) {
      rover->send(request_v1());
      EXPECT_EQ(rover->read_head(), "ICY 200 OK\r\n\r\n");
    }
    publish(100);
  }

  // Each chunk is taken by the good one before the next.
  void publish(int chunks) {
    for (int i = 0; i < chunks; ++i) {
      const std::string text = chunk_text(i);
      fan.publish(text);
      EXPECT_EQ(good.read(text.size()), text);
    }
  }

  // The clock stands still: it is the limit that comes to the rover.
  Departure departure_under(const FanOutLimits& limits) {
    EXPECT_EQ(fan.engine->counts().rovers, 2U);
    fan.engine->set_limits(limits);
    EXPECT_TRUE(fan.ledger.wait_gone(1));
    publish(5);
    for (const auto& [session, note] : fan.ledger.notes()) {
      if (note.disconnects > 0) {
        return note.why;
      }
    }
    ADD_FAILURE() << "nobody was cut";
    return Departure::kShutdown;
  }

  TestFanOut fan;
  TestRover frozen, good;
};

TEST(FanLimitsChange, ShorterWriteDeadlineCutsWhoIsHeldUp) {
  FanOutOptions options = patient();
  FrozenBesideGood pair(options);
  pair.fan.advance(seconds{900});
  pair.publish(1);
  options.write_deadline = seconds{800};
  EXPECT_EQ(pair.departure_under(options), Departure::kSlow);
}

TEST(FanLimitsChange, LowerAgeCutsWhoseNextChunkIsOlder) {
  FanOutOptions options = patient();
  FrozenBesideGood pair(options);
  pair.fan.advance(seconds{20});
  pair.publish(1);
  options.lag_age = seconds{19};
  EXPECT_EQ(pair.departure_under(options), Departure::kTooOld);
}

TEST(FanLimitsChange, FewerBytesCutForWhomMoreWaits) {
  FanOutOptions options = patient();
  FrozenBesideGood pair(options);
  options.lag_bytes = 16384;
  EXPECT_EQ(pair.departure_under(options), Departure::kBudget);
}

TEST(FanLimitsChange, MoreBytesLetARoverLagFurther) {
  FanOutOptions options = patient();
  options.lag_bytes = std::size_t{64} * 1024;
  FrozenBesideGood pair(options);
  options.lag_bytes = std::size_t{1} << 20;
  pair.fan.engine->set_limits(options);
  pair.publish(500);
  EXPECT_EQ(pair.fan.engine->counts().rovers, 2U);
}

// The system's own deadline on a socket follows.
TEST(FanLimitsChange, SystemsPatienceFollowsTheWriteDeadline) {
  FanOutOptions options = patient();
  TestFanOut fan(options, 1);
  const auto listening = open_listen_socket("127.0.0.1", 0);
  ASSERT_TRUE(listening) << listening.error().text();
  const TestRover rover(listening->port);
  pollfd waiting{.fd = listening->fd, .events = POLLIN, .revents = 0};
  ASSERT_EQ(::poll(&waiting, 1, 60'000), 1);
  const int served = ::accept(listening->fd, nullptr, nullptr);
  const int same = ::dup(served);
  const auto patience_ms = [same] {
    int value = 0;
    socklen_t size = sizeof(value);
    ::getsockopt(same, IPPROTO_TCP, TCP_USER_TIMEOUT, &value, &size);
    return value;
  };
  fan.engine->adopt(served, false);
  rover.send(request_v1());
  EXPECT_EQ(rover.read_head(), "ICY 200 OK\r\n\r\n");
  EXPECT_EQ(patience_ms(), 1'000'000);
  options.write_deadline = seconds{7};
  fan.engine->set_limits(options);
  EXPECT_TRUE(
      fan.wait([&](const auto& /*counts*/) { return patience_ms() == 7'000; }));
  ::close(same);
  ::close(listening->fd);
}

TEST(FanLimitsChange, SilentConnectionGetsTheNewRequestDeadline) {
  FanOutOptions options = patient();
  options.request_deadline = seconds{10};
  TestFanOut fan(options, 1);
  const TestRover silent(fan.port);
  ASSERT_TRUE(fan.wait([](const auto& c) { return c.connections == 1; }));
  options.request_deadline = seconds{100};
  fan.engine->set_limits(options);
  fan.advance(seconds{90});
  const TestRover later(fan.port);  // served, so the sweep has been
  later.send(request_v1());
  EXPECT_EQ(later.read_head(), "ICY 200 OK\r\n\r\n");
  EXPECT_EQ(fan.engine->counts().refused, 0U);
  options.request_deadline = seconds{80};
  fan.engine->set_limits(options);
  EXPECT_EQ(silent.read_head().substr(9, 3), "408");
}

TEST(FanLimitsChange, AnswerThatIsNotTakenGetsTheNewWriteDeadline) {
  FanOutOptions options = patient();
  TestFanOut fan(options, 1);
  fan.engine->set_table(std::string(std::size_t{1} << 20, 'x'));
  const TestRover rover(fan.port, 2048);
  rover.send("GET / HTTP/1.0\r\nUser-Agent: NTRIP SPDEMO-R1\r\n\r\n");
  EXPECT_FALSE(rover.read_head().empty());
  fan.advance(seconds{900});
  EXPECT_EQ(fan.engine->counts().connections, 1U);
  options.write_deadline = seconds{800};  // no deadline of the system
  fan.engine->set_limits(options);
  EXPECT_TRUE(fan.wait([](const auto& c) { return c.connections == 0; }));
}

TEST(FanLimitsChange, MostRoversCountForWhoeverComes) {
  FanOutOptions options = patient();
  options.most_rovers = 1;
  TestFanOut fan(options);
  const TestRover first(fan.port);
  first.send(request_v2());
  EXPECT_EQ(first.read_head().substr(9, 3), "200");
  const auto status_of_next = [&fan] {
    const TestRover next(fan.port);
    next.send(request_v2());
    return next.read_head().substr(9, 3);
  };
  EXPECT_EQ(status_of_next(), "503");
  options.most_rovers = 100;
  fan.engine->set_limits(options);
  EXPECT_EQ(status_of_next(), "200");
  options.most_rovers = 0;
  fan.engine->set_limits(options);
  EXPECT_EQ(status_of_next(), "503");
  fan.publish("stays");
  EXPECT_EQ(first.read(10), "5\r\nstays\r\n");
}

TEST(FanLimitsChange, MostOfAnAddressCountForWhoeverComes) {
  FanOutOptions options = patient();
  options.most_per_address = 1;
  TestFanOut fan(options);
  const TestRover first(fan.port);
  first.send(request_v2());
  EXPECT_EQ(first.read_head().substr(9, 3), "200");
  const TestRover second(fan.port);
  second.send(request_v2());
  EXPECT_EQ(second.read_head().substr(9, 3), "503");
  options.most_per_address = 100;
  fan.engine->set_limits(options);
  const TestRover third(fan.port);
  third.send(request_v2());
  EXPECT_EQ(third.read_head().substr(9, 3), "200");
  options.most_connections = 0;
  fan.engine->set_limits(options);
  const TestRover fourth(fan.port);
  EXPECT_EQ(fourth.read_to_end(), "");
  ASSERT_TRUE(fan.wait([](const auto& c) { return c.turned_away == 1; }));
}

// kind: cross   bytes offered = sent + unsent + still waiting, here none
TEST(FanLimitsChange, BytesAreAccountedForWhileLimitsChangeUnderWay) {
  FanOutOptions options = patient();
  TestFanOut fan(options, 2);
  std::vector<TestRover> good;
  std::vector<TestRover> still;
  good.reserve(4);
  still.reserve(8);
  for (int i = 0; i < 4; ++i) {
    good.emplace_back(fan.port);
  }
  for (int i = 0; i < 8; ++i) {
    still.emplace_back(fan.port, 2048);
  }
  for (const auto* rovers : {&good, &still}) {
    for (const TestRover& rover : *rovers) {
      rover.send(request_v1());
      EXPECT_EQ(rover.read_head(), "ICY 200 OK\r\n\r\n");
    }
  }
  std::vector<std::jthread> changers;
  for (std::size_t n = 1; n <= 2; ++n) {
    changers.emplace_back([&fan, options, n](const std::stop_token& stop) {
      FanOutOptions mine = options;
      while (!stop.stop_requested()) {
        mine.lag_bytes = n * 256 * 1024 + mine.lag_bytes % 4096 + 1;
        fan.engine->set_limits(mine);
      }
    });
  }
  std::uint64_t published = 0;
  for (int i = 0; i < 300; ++i) {
    const std::string text = chunk_text(i);
    fan.publish(text);
    published += text.size();
    for (const TestRover& rover : good) {
      EXPECT_EQ(rover.read(text.size()), text);
    }
  }
  changers.clear();
  options.lag_bytes = 1000;
  fan.engine->set_limits(options);
  ASSERT_TRUE(fan.ledger.wait_gone(8));
  ASSERT_TRUE(fan.wait([](const auto& c) { return c.rovers == 4; }));
  const FanOutCounts counts = fan.engine->counts();
  EXPECT_EQ(counts.offered_bytes, 12 * published);
  EXPECT_EQ(counts.sent_bytes + counts.unsent_bytes, counts.offered_bytes);
  std::uint64_t unsent = 0;
  for (const auto& [session, note] : fan.ledger.notes()) {
    unsent += note.account.unsent_bytes;
  }
  EXPECT_EQ(counts.unsent_bytes, unsent);
  EXPECT_GT(unsent, 0U);
}

}  // namespace
}  // namespace stillpoint::ntrip
