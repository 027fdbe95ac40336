// Rovers that cannot follow: each is cut for its reason, and costs nobody else
// anything.
#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "stillpoint/ntrip/server/fan_test_support.h"

namespace stillpoint::ntrip {
namespace {

using std::chrono::seconds;

// One worker where a rover's account is compared with the clock or the stream:
// what the good rover has, the other has been offered.
//
// Small buffers, so that a rover that does not read is soon noticed.
FanOutOptions narrow() {
  FanOutOptions options;
  options.send_buffer_bytes = 4096;
  return options;
}

// A rover that has its answer and reads no more.
TestRover frozen(const TestFanOut& fan, const std::string& request) {
  TestRover rover(fan.port, 2048);
  rover.send(request);
  EXPECT_FALSE(rover.read_head().empty());
  return rover;
}

// Sends until somebody is held up: so many chunks, each of which a good rover
// takes before the next. Returns all that was sent.
std::string publish_with(TestFanOut& fan, const TestRover& good, int chunks) {
  std::string all;
  for (int i = 0; i < chunks; ++i) {
    const std::string text = chunk_text(i);
    fan.publish(text);
    EXPECT_EQ(good.read(text.size()), text);
    all += text;
  }
  return all;
}

SessionNote note_of(TestFanOut& fan, Departure why) {
  SessionNote found;
  int count = 0;
  for (const auto& [session, note] : fan.ledger.notes()) {
    if (note.disconnects > 0 && note.why == why) {
      found = note;
      ++count;
    }
  }
  EXPECT_EQ(count, 1) << departure_name(why);
  return found;
}

std::uint64_t counted(const FanOutCounts& counts, Departure why) {
  return counts.departures[static_cast<std::size_t>(why)];
}

// kind: cross   bytes published = sent + cut, of every rover
void expect_reconciled(const SessionNote& note, std::size_t published) {
  EXPECT_EQ(note.account.sent_bytes + note.account.unsent_bytes, published);
  EXPECT_GT(note.account.unsent_bytes, 0U);
  EXPECT_GE(note.account.wire_bytes, note.account.sent_bytes);
}

TEST(FanLimits, RoverThatTakesNothingIsCutAsSlow) {
  for (const std::string& request : {request_v1(), request_v2()}) {
    FanOutOptions options = narrow();
    options.lag_age = seconds{1000};
    TestFanOut fan(options, 1);
    const TestRover slow = frozen(fan, request);
    const TestRover good(fan.port);
    good.send(request_v1());
    EXPECT_EQ(good.read_head(), "ICY 200 OK\r\n\r\n");
    std::string all = publish_with(fan, good, 100);
    fan.advance(seconds{9});
    all += publish_with(fan, good, 1);
    EXPECT_EQ(counted(fan.engine->counts(), Departure::kSlow), 0U);
    fan.advance(seconds{2});
    ASSERT_TRUE(fan.ledger.wait_gone(1));
    expect_reconciled(note_of(fan, Departure::kSlow), all.size());
    // The good one goes on.
    publish_with(fan, good, 5);
    fan.stop();
    EXPECT_EQ(counted(fan.engine->counts(), Departure::kSlow), 1U);
    EXPECT_EQ(good.read_to_end(), "");
    EXPECT_EQ(note_of(fan, Departure::kShutdown).account.unsent_bytes, 0U);
  }
}

TEST(FanLimits, RoverWhoseNextChunkIsOldIsCut) {
  FanOutOptions options = narrow();
  options.write_deadline = seconds{1000};
  TestFanOut fan(options, 1);
  const TestRover slow = frozen(fan, request_v2());
  const TestRover good(fan.port);
  good.send(request_v1());
  EXPECT_EQ(good.read_head(), "ICY 200 OK\r\n\r\n");
  const std::string all = publish_with(fan, good, 100);
  fan.advance(seconds{16});
  ASSERT_TRUE(fan.ledger.wait_gone(1));
  expect_reconciled(note_of(fan, Departure::kTooOld), all.size());
  publish_with(fan, good, 5);
}

TEST(FanLimits, RoverWithTooMuchWaitingIsCut) {
  FanOutOptions options = narrow();
  options.lag_bytes = std::size_t{64} * 1024;
  TestFanOut fan(options, 1);
  const TestRover slow = frozen(fan, request_v1());
  const TestRover good(fan.port);
  good.send(request_v1());
  EXPECT_EQ(good.read_head(), "ICY 200 OK\r\n\r\n");
  publish_with(fan, good, 400);
  ASSERT_TRUE(fan.ledger.wait_gone(1));
  const SessionNote note = note_of(fan, Departure::kBudget);
  EXPECT_GT(note.account.unsent_bytes, options.lag_bytes);
  EXPECT_LT(note.account.unsent_bytes, options.lag_bytes + 2000);
}

// The system's buffer for a rover is larger than what is put there ahead of
// what the rover takes.
TEST(FanLimits, LittleWaitsInTheSystemForARoverThatDoesNotRead) {
  FanOutOptions options;
  options.lag_bytes = std::size_t{64} * 1024;
  TestFanOut fan(options, 1);
  const TestRover slow = frozen(fan, request_v1());
  const TestRover good(fan.port);
  good.send(request_v1());
  EXPECT_EQ(good.read_head(), "ICY 200 OK\r\n\r\n");
  publish_with(fan, good, 400);
  ASSERT_TRUE(fan.ledger.wait_gone(1));
  EXPECT_LT(note_of(fan, Departure::kBudget).account.sent_bytes, 16384U);
}

TEST(FanLimits, RoverThatWasHeldUpCatchesUpWithoutAGap) {
  FanOutOptions options = narrow();
  options.lag_bytes = std::size_t{1} << 20;
  TestFanOut fan(options);
  const TestRover late = frozen(fan, request_v1());
  const TestRover good(fan.port);
  good.send(request_v1());
  EXPECT_EQ(good.read_head(), "ICY 200 OK\r\n\r\n");
  const std::string all = publish_with(fan, good, 300);
  EXPECT_EQ(late.read(all.size()), all);
  ASSERT_TRUE(fan.wait([](const auto& c) { return c.chunks == 600; }));
  fan.advance(seconds{100});  // nothing waits: no deadline runs
  publish_with(fan, good, 1);
  EXPECT_EQ(late.read(chunk_text(0).size()), chunk_text(0));
  EXPECT_EQ(fan.engine->counts().rovers, 2U);
}

TEST(FanLimits, FrozenRoversCostTheOthersNothing) {
  FanOutOptions options = narrow();
  options.lag_bytes = std::size_t{64} * 1024;
  TestFanOut fan(options);
  std::vector<TestRover> still;
  still.reserve(200);
  for (int i = 0; i < 200; ++i) {
    still.push_back(frozen(fan, i % 2 == 0 ? request_v1() : request_v2()));
  }
  const TestRover good(fan.port);
  good.send(request_v1());
  EXPECT_EQ(good.read_head(), "ICY 200 OK\r\n\r\n");
  publish_with(fan, good, 400);
  ASSERT_TRUE(fan.ledger.wait_gone(200));
  ASSERT_TRUE(fan.wait([](const auto& c) { return c.connections == 1; }));
  EXPECT_EQ(counted(fan.engine->counts(), Departure::kBudget), 200U);
  for (const auto& [session, note] : fan.ledger.notes()) {
    EXPECT_EQ(note.connects, 1);
    EXPECT_LE(note.disconnects, 1);
  }
}

TEST(FanLimits, VerdictsLimitsEndASession) {
  TestFanOut fan;
  fan.ledger.set_limits({Admission::kAllowed, 1000, seconds{0}});
  const TestRover counted_out(fan.port);
  counted_out.send(request_v2());
  EXPECT_FALSE(counted_out.read_head().empty());
  fan.ledger.set_limits({Admission::kAllowed, 0, seconds{3600}});
  const TestRover timed_out(fan.port);
  timed_out.send(request_v1());
  EXPECT_FALSE(timed_out.read_head().empty());
  ASSERT_TRUE(fan.ledger.wait_connected(2));
  const std::string text(1000, 'x');
  fan.publish(text);
  EXPECT_EQ(timed_out.read(1000), text);
  fan.advance(seconds{1});
  ASSERT_TRUE(fan.ledger.wait_gone(1));
  EXPECT_EQ(counted_out.read_to_end(), "3e8\r\n" + text + "\r\n0\r\n\r\n");
  fan.advance(seconds{3600});
  ASSERT_TRUE(fan.ledger.wait_gone(2));
  EXPECT_EQ(timed_out.read_to_end(), "");
  for (const auto& [session, note] : fan.ledger.notes()) {
    EXPECT_EQ(note.why, Departure::kLimit);
    EXPECT_EQ(note.account.sent_bytes, 1000U);
  }
}

TEST(FanLimits, TheLedgerMayGrantMoreOrNoMoreWhileASessionLasts) {
  FanOutOptions options;
  options.progress_every = seconds{60};
  TestFanOut fan(options, 1);
  fan.ledger.set_limits({Admission::kAllowed, 1500, seconds{0}});
  const TestRover rover(fan.port);
  rover.send(request_v1());
  EXPECT_FALSE(rover.read_head().empty());
  ASSERT_TRUE(fan.ledger.wait_connected(1));
  const std::string text(1000, 'x');
  fan.publish(text);
  EXPECT_EQ(rover.read(1000), text);
  fan.ledger.allow_in_all(5000);
  fan.advance(seconds{61});
  ASSERT_TRUE(fan.ledger.wait_reports(1));
  fan.publish(text);
  fan.advance(seconds{1});
  EXPECT_EQ(rover.read(1000), text) << "2000 bytes of 5000";
  fan.ledger.allow_in_all(1);
  fan.advance(seconds{61});
  ASSERT_TRUE(fan.ledger.wait_reports(2));
  fan.advance(seconds{1});
  ASSERT_TRUE(fan.ledger.wait_gone(1));
  EXPECT_EQ(fan.ledger.only().why, Departure::kLimit);
}

}  // namespace
}  // namespace stillpoint::ntrip
