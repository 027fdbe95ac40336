// Peers that mean harm or know no better, and many at once.
#include <gtest/gtest.h>
#include <sys/socket.h>
#include <unistd.h>

#include <array>
#include <random>
#include <string>
#include <vector>

#include "stillpoint/ntrip/server/fan_test_support.h"
#include "stillpoint/ntrip/server/rover_answer.h"
#include "stillpoint/ntrip/server/rover_request.h"

namespace stillpoint::ntrip {
namespace {

using std::chrono::milliseconds;
using std::chrono::seconds;

const AnswerStyle kStyle{.program_version = "0.1.0", .unix_s = 784111777};

TEST(FanHostile, RequestOfOneByteASecondEndsWith408) {
  TestFanOut fan;
  const TestRover rover(fan.port);
  const std::string request = request_v1();
  for (std::size_t i = 0; i < 9; ++i) {
    rover.send(request.substr(i, 1));
    ASSERT_TRUE(fan.wait([](const auto& c) { return c.connections == 1; }));
    fan.advance(seconds{1});
  }
  EXPECT_EQ(fan.engine->counts().refused, 0U);
  fan.advance(milliseconds{1500});
  EXPECT_EQ(rover.read_to_end(), refusal_text(408, Version::k1, "", kStyle));
  EXPECT_TRUE(fan.ledger.questions().empty());
}

TEST(FanHostile, HeadersWithoutEndAreRefusedWith431) {
  TestFanOut fan;
  const TestRover many(fan.port);
  many.send("GET /LHOL00XXX HTTP/1.1\r\nNtrip-Version: Ntrip/2.0\r\n");
  for (std::size_t i = 0; i < RequestReader::kMaxHeaders; ++i) {
    many.send("A: 1\r\n");
  }
  EXPECT_EQ(many.read_to_end(), refusal_text(431, Version::k2, kMount, kStyle));
  const TestRover longest(fan.port);
  longest.send("GET /" + std::string(10'000, 'A'));
  EXPECT_EQ(longest.read_to_end(), refusal_text(431, Version::k1, "", kStyle));
}

TEST(FanHostile, OtherRequestsAreAnsweredInTheirForm) {
  TestFanOut fan;
  const TestRover garbled(fan.port);
  garbled.send("\x16\x03\x01 hello");
  EXPECT_EQ(garbled.read_to_end(), refusal_text(400, Version::k1, "", kStyle));
  const TestRover poster(fan.port);
  poster.send(
      "POST /LHOL00XXX HTTP/1.1\r\nHost: a\r\n"
      "Ntrip-Version: Ntrip/2.0\r\n\r\n");
  EXPECT_EQ(poster.read_to_end(), refusal_text(405, Version::k2, "", kStyle));
  const TestRover source(fan.port);
  source.send("SOURCE larch /LHOL00XXX\r\n\r\n");
  EXPECT_EQ(source.read_to_end(), refusal_text(405, Version::k1, "", kStyle));
}

TEST(FanHostile, SendersOfGarbageEndAndOthersGoOn) {
  TestFanOut fan;
  const TestRover good(fan.port);
  good.send(request_v1());
  EXPECT_EQ(good.read_head(), "ICY 200 OK\r\n\r\n");
  std::minstd_rand random(7);  // the same noise each time
  for (int i = 0; i < 50; ++i) {
    std::string noise(20'000, '\0');
    for (char& c : noise) {
      c = static_cast<char>(random() >> 8 & 0xFFU);
    }
    const TestRover rover(fan.port);
    rover.send(noise);
  }
  ASSERT_TRUE(fan.wait([&fan](const auto& c) {
    fan.advance(milliseconds{20});
    return c.arrived == 51 && c.connections == 1;
  }));
  fan.publish("abc");
  EXPECT_EQ(good.read(3), "abc");
}

TEST(FanHostile, RoverThatTalksTooMuchIsCut) {
  TestFanOut fan;
  const TestRover rover(fan.port);
  rover.send(request_v1());
  EXPECT_EQ(rover.read_head(), "ICY 200 OK\r\n\r\n");
  rover.send(std::string(10'000, 'x'));
  fan.advance(seconds{11});  // forgotten by then, if it was heard by then
  rover.send(std::string(30'000, 'x'));
  ASSERT_TRUE(fan.ledger.wait_gone(1));
  EXPECT_EQ(fan.ledger.only().why, Departure::kFlood);
}

TEST(FanHostile, StormOfConnectionsIsAnswered) {
  TestFanOut fan;
  std::vector<TestRover> rovers;
  rovers.reserve(500);
  for (int i = 0; i < 500; ++i) {
    rovers.emplace_back(fan.port);
  }
  for (const TestRover& rover : rovers) {
    rover.send(request_v1());
  }
  for (const TestRover& rover : rovers) {
    ASSERT_EQ(rover.read_head(), "ICY 200 OK\r\n\r\n");
  }
  ASSERT_TRUE(fan.wait([](const auto& c) { return c.rovers == 500; }));
  fan.publish("abc");
  for (TestRover& rover : rovers) {
    ASSERT_EQ(rover.read(3), "abc");
    rover.close();
  }
  ASSERT_TRUE(fan.ledger.wait_gone(500));
  ASSERT_TRUE(fan.wait([](const auto& c) { return c.connections == 0; }));
  const FanOutCounts counts = fan.engine->counts();
  EXPECT_EQ(counts.departures[static_cast<std::size_t>(Departure::kClosed)],
            500U);
  for (const auto& [session, note] : fan.ledger.notes()) {
    EXPECT_EQ(note.connects, 1);
    EXPECT_EQ(note.disconnects, 1);
  }
}

TEST(FanHostile, OneAddressHasOnlySoManyConnections) {
  FanOutOptions options;
  options.most_per_address = 3;
  options.most_connections = 5;
  TestFanOut fan(options, 1);
  std::vector<TestRover> rovers;
  for (int i = 0; i < 3; ++i) {
    rovers.emplace_back(fan.port).send(request_v1());
    EXPECT_EQ(rovers.back().read_head(), "ICY 200 OK\r\n\r\n");
  }
  {
    const TestRover fourth(fan.port);
    fourth.send(request_v2());
    EXPECT_EQ(fourth.read_to_end(),
              refusal_text(503, Version::k2, kMount, kStyle));
  }
  ASSERT_TRUE(fan.wait([](const auto& c) { return c.connections == 3; }));
  // Two more wait with a request that does not come, then the door is shut.
  const TestRover fifth(fan.port);
  const TestRover sixth(fan.port);
  const TestRover seventh(fan.port);
  EXPECT_EQ(seventh.read_to_end(), "");
  ASSERT_TRUE(fan.wait([](const auto& c) { return c.turned_away == 1; }));
  rovers.front().close();
  rovers.pop_back();
  ASSERT_TRUE(fan.ledger.wait_gone(2));
  ASSERT_TRUE(fan.wait([](const auto& c) { return c.connections == 3; }));
  const TestRover next(fan.port);
  next.send(request_v1());
  EXPECT_EQ(next.read_to_end(), refusal_text(503, Version::k1, kMount, kStyle))
      << "two that say nothing count as well";
}

TEST(FanHostile, OnlySoManyRoversHaveAStream) {
  FanOutOptions options;
  options.most_rovers = 1;
  TestFanOut fan(options);
  TestRover first(fan.port);
  first.send(request_v1());
  EXPECT_EQ(first.read_head(), "ICY 200 OK\r\n\r\n");
  const TestRover second(fan.port);
  second.send(request_v1());
  EXPECT_EQ(second.read_to_end(),
            refusal_text(503, Version::k1, kMount, kStyle));
  first.close();
  ASSERT_TRUE(fan.wait([](const auto& c) { return c.rovers == 0; }));
  const TestRover third(fan.port);
  third.send(request_v1());
  EXPECT_EQ(third.read_head(), "ICY 200 OK\r\n\r\n");
}

TEST(FanHostile, SocketFromElsewhereIsServed) {
  TestFanOut fan;
  std::array<int, 2> ends{};
  ASSERT_EQ(::socketpair(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0, ends.data()),
            0);
  fan.engine->adopt(ends[0], false);
  const std::string request = request_v1();
  ASSERT_EQ(::write(ends[1], request.data(), request.size()),
            static_cast<ssize_t>(request.size()));
  std::array<char, 14> answer{};
  ASSERT_EQ(::recv(ends[1], answer.data(), answer.size(), MSG_WAITALL), 14);
  EXPECT_EQ(std::string(answer.data(), answer.size()), "ICY 200 OK\r\n\r\n");
  ::close(ends[1]);
  ASSERT_TRUE(fan.ledger.wait_gone(1));
}

TEST(FanHostile, StopWithRoversInEveryState) {
  TestFanOut fan;
  const TestRover silent(fan.port);
  const TestRover asking(fan.port);
  asking.send(request_v1(kMount, "slow-hash"));
  const TestRover served(fan.port);
  served.send(request_v1());
  EXPECT_EQ(served.read_head(), "ICY 200 OK\r\n\r\n");
  const TestRover refused(fan.port);
  refused.send("nonsense\n");
  EXPECT_FALSE(refused.read_head().empty());
  ASSERT_TRUE(fan.ledger.wait_asked(2));
  ASSERT_TRUE(fan.wait([](const auto& c) { return c.connections == 4; }));
  fan.stop();
  EXPECT_EQ(fan.ledger.only().disconnects, 1);
  EXPECT_EQ(silent.read_to_end(), "");
  EXPECT_EQ(asking.read_to_end(), "");
  EXPECT_EQ(served.read_to_end(), "");
  EXPECT_EQ(fan.engine->counts().connections, 0U);
  fan.engine.reset();
  fan.ledger.release();  // too late, and harmless
}

}  // namespace
}  // namespace stillpoint::ntrip
