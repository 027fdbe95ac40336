// A fan-out with worker threads, a ledger that notes everything, a clock set by
// the test, and rovers on 127.0.0.1. What is waited for is waited for with a
// bound that no good run comes near.
#pragma once

#include <atomic>
#include <chrono>
#include <condition_variable>
#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <mutex>
#include <string>
#include <string_view>
#include <thread>
#include <vector>

#include "stillpoint/ntrip/server/fan_out.h"

namespace stillpoint::ntrip {

inline constexpr std::string_view kMount = "LHOL00XXX";

struct SessionNote {
  SessionFacts facts;
  int connects = 0, disconnects = 0, reports = 0;
  Departure why = Departure::kClosed;
  SessionAccount account;
};

// Lets ditch-1 with "larch" in, and whoever gives no name; tractor-2 is
// forbidden, club-guest one too many. "slow-hash" is not answered until
// release().
class NotingLedger final : public Ledger {
 public:
  void ask(const LedgerQuestion& question, Answer answer) override;
  void on_connect(const SessionFacts& facts) override;
  std::optional<std::uint64_t> on_progress(
      SessionId session, const SessionAccount& account) override;
  void on_disconnect(SessionId session,
                     Departure why,
                     const SessionAccount& account) override;

  // Waits until it holds.
  bool wait(const std::function<bool(const NotingLedger&)>& holds);
  bool wait_connected(std::size_t count);
  bool wait_gone(std::size_t count);
  bool wait_asked(std::size_t count);
  // Of the only session there is.
  bool wait_reports(int count);
  void release();
  void set_limits(const Verdict& verdict);
  // What on_progress() answers from now on.
  void allow_in_all(std::optional<std::uint64_t> bytes);
  std::map<SessionId, SessionNote> notes();
  // The only session there is.
  SessionNote only();
  std::vector<LedgerQuestion> questions();

 private:
  std::mutex mutex_;
  std::condition_variable changed_;
  std::map<SessionId, SessionNote> notes_;
  std::vector<LedgerQuestion> questions_;
  std::vector<Answer> held_;
  Verdict allowed_{Admission::kAllowed, 0, std::chrono::nanoseconds{0}};
  std::size_t connected_ = 0, gone_ = 0;
  std::optional<std::uint64_t> allowed_in_all_;
};

class TestFanOut {
 public:
  explicit TestFanOut(FanOutOptions options = {}, unsigned workers = 2);
  ~TestFanOut();
  TestFanOut(const TestFanOut&) = delete;
  TestFanOut& operator=(const TestFanOut&) = delete;

  void stop();
  void advance(std::chrono::nanoseconds time);
  void publish(std::string_view bytes);
  // Waits until the counts are so.
  bool wait(const std::function<bool(const FanOutCounts&)>& holds);

  NotingLedger ledger;
  std::unique_ptr<FanOut> engine;
  std::uint16_t port = 0;

 private:
  std::atomic<std::int64_t> now_ns_ = 1'000'000'000;
  std::vector<std::thread> threads_;
};

// A blocking socket; reads give up after a bound.
class TestRover {
 public:
  explicit TestRover(std::uint16_t port, int receive_buffer = 0);
  ~TestRover();
  TestRover(TestRover&& other) noexcept;
  TestRover(const TestRover&) = delete;

  void send(std::string_view bytes) const;
  // So many bytes; fewer where the other side closed.
  [[nodiscard]] std::string read(std::size_t count) const;
  // Up to the empty line.
  [[nodiscard]] std::string read_head() const;
  [[nodiscard]] std::string read_to_end() const;
  void close();
  [[nodiscard]] int fd() const { return fd_; }

 private:
  int fd_ = -1;
};

// Requests of ditch-1.
std::string request_v1(std::string_view mount = kMount,
                       std::string_view user = "ditch-1",
                       std::string_view password = "larch");
std::string request_v2(std::string_view http = "1.1",
                       std::string_view mount = kMount,
                       std::string_view user = "ditch-1",
                       std::string_view password = "larch");

// What no frame looks like, of a length that tells where it came from.
std::string chunk_text(int number);

}  // namespace stillpoint::ntrip
