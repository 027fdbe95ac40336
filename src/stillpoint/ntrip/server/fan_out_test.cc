// The engine over real sockets: what each kind of rover gets.
#include "stillpoint/ntrip/server/fan_out.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "stillpoint/ntrip/server/fan_test_support.h"
#include "stillpoint/ntrip/server/rover_answer.h"

namespace stillpoint::ntrip {
namespace {

const AnswerStyle kStyle{.program_version = "0.1.0", .unix_s = 784111777};

std::string framed(std::string_view text) {
  return fmt::format("{:x}\r\n{}\r\n", text.size(), text);
}

TEST(FanOut, EveryKindOfRoverGetsEveryByte) {
  TestFanOut fan;
  const std::vector<std::string> requests{
      request_v1(), request_v2("1.1"), request_v2("1.0")};
  std::vector<TestRover> rovers;
  for (int i = 0; i < 30; ++i) {
    rovers.emplace_back(fan.port).send(
        requests[static_cast<std::size_t>(i) % 3]);
  }
  for (std::size_t i = 0; i < rovers.size(); ++i) {
    EXPECT_EQ(rovers[i].read_head(),
              stream_head(
                  i % 3 == 0 ? Version::k1 : Version::k2, i % 3 == 1, kStyle));
  }
  std::string plain;
  std::string chunked;
  for (int i = 0; i < 200; ++i) {
    const std::string text = chunk_text(i);
    fan.publish(text);
    plain += text;
    chunked += framed(text);
  }
  for (std::size_t i = 0; i < rovers.size(); ++i) {
    const std::string& expected = i % 3 == 1 ? chunked : plain;
    EXPECT_EQ(rovers[i].read(expected.size()), expected) << i;
  }
  fan.stop();
  for (std::size_t i = 0; i < rovers.size(); ++i) {
    EXPECT_EQ(rovers[i].read_to_end(), i % 3 == 1 ? "0\r\n\r\n" : "") << i;
  }
  const auto notes = fan.ledger.notes();
  EXPECT_EQ(notes.size(), rovers.size());
  for (const auto& [session, note] : notes) {
    EXPECT_EQ(note.connects, 1);
    EXPECT_EQ(note.disconnects, 1);
    EXPECT_EQ(note.why, Departure::kShutdown);
    EXPECT_EQ(note.account.sent_bytes, plain.size());
    EXPECT_EQ(note.account.unsent_bytes, 0U);
    EXPECT_EQ(note.facts.user, "ditch-1");
    EXPECT_EQ(note.facts.mount, kMount);
    EXPECT_EQ(note.facts.address, "127.0.0.1");
  }
  const FanOutCounts counts = fan.engine->counts();
  EXPECT_EQ(counts.sessions, 30U);
  EXPECT_EQ(counts.rovers, 0U);
  EXPECT_EQ(counts.connections, 0U);
  EXPECT_EQ(counts.chunks, 30U * 200U);
  EXPECT_EQ(counts.departures[static_cast<std::size_t>(Departure::kShutdown)],
            30U);
}

TEST(FanOut, StreamsOfMountpointsDoNotMix) {
  TestFanOut fan;
  fan.engine->add_mount("OTHER");
  const TestRover here(fan.port);
  const TestRover there(fan.port);
  here.send(request_v1());
  there.send(request_v1("OTHER"));
  EXPECT_EQ(here.read_head(), "ICY 200 OK\r\n\r\n");
  EXPECT_EQ(there.read_head(), "ICY 200 OK\r\n\r\n");
  const std::string other = "of the other";
  fan.publish("of the first");
  fan.engine->on_chunk(
      "OTHER",
      {reinterpret_cast<const std::uint8_t*>(other.data()), other.size()});
  fan.engine->on_chunk("NOWHERE", {});
  EXPECT_EQ(here.read(12), "of the first");
  EXPECT_EQ(there.read(12), other);
  fan.stop();
  EXPECT_EQ(here.read_to_end(), "");
  EXPECT_EQ(there.read_to_end(), "");
}

TEST(FanOut, TableComesForRootAndInVersion1ForWhatIsNotThere) {
  TestFanOut fan;
  const std::string table = "STR;LHOL00XXX;Larch\r\nENDSOURCETABLE\r\n";
  fan.engine->set_table(table);
  for (const char* mount : {"", "NOWHERE"}) {
    const TestRover rover(fan.port);
    rover.send(request_v1(mount));
    EXPECT_EQ(rover.read_to_end(),
              table_head(Version::k1, table.size(), kStyle) + table);
  }
  const TestRover root(fan.port);
  root.send(request_v2("1.1", ""));
  EXPECT_EQ(root.read_to_end(),
            table_head(Version::k2, table.size(), kStyle) + table);
  const TestRover nowhere(fan.port);
  nowhere.send(request_v2("1.1", "NOWHERE"));
  EXPECT_EQ(nowhere.read_to_end(),
            refusal_text(404, Version::k2, "NOWHERE", kStyle));
  EXPECT_TRUE(fan.ledger.questions().empty());
}

TEST(FanOut, LargeTableComesWholeThroughASmallBuffer) {
  FanOutOptions options;
  options.send_buffer_bytes = 4096;
  TestFanOut fan(options);
  const std::string table(3'000'000, 't');
  fan.engine->set_table(table);
  const TestRover rover(fan.port, 4096);
  rover.send(request_v1(""));
  EXPECT_EQ(rover.read_to_end(),
            table_head(Version::k1, table.size(), kStyle) + table);
}

TEST(FanOut, LedgerDecidesAndLoginsThatFailLookAlike) {
  TestFanOut fan;
  struct Case {
    std::string user, password;
    int status;
  };
  for (const Case& c : std::vector<Case>{{"ditch-1", "wrong", 401},
                                         {"nobody", "larch", 401},
                                         {"tractor-2", "larch", 403},
                                         {"club-guest", "larch", 503}}) {
    const TestRover first(fan.port);
    first.send(request_v1(kMount, c.user, c.password));
    EXPECT_EQ(first.read_to_end(),
              refusal_text(c.status, Version::k1, kMount, kStyle));
    const TestRover second(fan.port);
    second.send(request_v2("1.1", kMount, c.user, c.password));
    EXPECT_EQ(second.read_to_end(),
              refusal_text(c.status, Version::k2, kMount, kStyle));
  }
  EXPECT_TRUE(fan.ledger.notes().empty());
  const auto questions = fan.ledger.questions();
  ASSERT_EQ(questions.size(), 8U);
  EXPECT_EQ(questions[0].user, "ditch-1");
  EXPECT_EQ(questions[0].password, "wrong");
  EXPECT_EQ(questions[0].mount, kMount);
  EXPECT_EQ(questions[0].address, "127.0.0.1");
  EXPECT_TRUE(fan.wait([](const auto& c) { return c.refused == 8; }));
}

TEST(FanOut, VerdictThatTakesLongHoldsUpNobodyElse) {
  TestFanOut fan({}, 1);
  const TestRover waiting(fan.port);
  waiting.send(request_v1(kMount, "slow-hash"));
  TestRover impatient(fan.port);
  impatient.send(request_v1(kMount, "slow-hash"));
  ASSERT_TRUE(fan.ledger.wait_asked(2));
  const TestRover other(fan.port);
  other.send(request_v1());
  EXPECT_EQ(other.read_head(), "ICY 200 OK\r\n\r\n");
  fan.publish("abc");
  EXPECT_EQ(other.read(3), "abc");
  impatient.close();
  ASSERT_TRUE(fan.wait([](const auto& c) { return c.connections == 2; }));
  fan.ledger.release();
  EXPECT_EQ(waiting.read_head(), "ICY 200 OK\r\n\r\n");
  fan.publish("def");
  EXPECT_EQ(waiting.read(3), "def") << "what came before it is not its own";
  // The one that left is told of all the same: a place was kept for it.
  ASSERT_TRUE(fan.ledger.wait_connected(3));
  ASSERT_TRUE(fan.ledger.wait_gone(1));
  fan.stop();
  EXPECT_EQ(fan.ledger.notes().size(), 3U);
  for (const auto& [session, note] : fan.ledger.notes()) {
    EXPECT_EQ(note.connects, 1);
    EXPECT_EQ(note.disconnects, 1);
  }
}

TEST(FanOut, PositionsOfRoversAreKeptAndProgressIsTold) {
  TestFanOut fan;
  TestRover rover(fan.port);
  const std::string gga = "$GPGGA,1,2*55";
  rover.send(request_v1() + gga + "\r\n");
  EXPECT_EQ(rover.read_head(), "ICY 200 OK\r\n\r\n");
  ASSERT_TRUE(fan.ledger.wait_connected(1));
  fan.publish("abcd");
  EXPECT_EQ(rover.read(4), "abcd");
  fan.advance(std::chrono::seconds{61});
  ASSERT_TRUE(
      fan.wait([&fan](const auto&) { return fan.ledger.only().reports == 1; }));
  EXPECT_EQ(fan.ledger.only().account.sent_bytes, 4U);
  EXPECT_EQ(fan.ledger.only().account.gga, gga);
  rover.close();
  ASSERT_TRUE(fan.ledger.wait_gone(1));
  EXPECT_EQ(fan.ledger.only().why, Departure::kClosed);
  EXPECT_EQ(fan.ledger.only().account.gga, gga);
}

TEST(FanOut, WhatIsNeededToBeginIsChecked) {
  NotingLedger ledger;
  EXPECT_EQ(FanOut::make({}, 0, {}, ledger).error().code, ErrorCode::kUsage);
  TestFanOut fan;
  EXPECT_EQ(fan.engine->listen({.address = "localhost"}).error().code,
            ErrorCode::kConfig);
  EXPECT_EQ(fan.engine->listen({.port = fan.port}).error().code,
            ErrorCode::kIo);
  EXPECT_EQ(fan.engine->listen({.tls = true}).error().code, ErrorCode::kConfig);
  EXPECT_EQ(fan.engine->set_certificate("no", "pem").error().code,
            ErrorCode::kConfig);
}

}  // namespace
}  // namespace stillpoint::ntrip
