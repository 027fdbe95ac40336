// Many that come at once: a chunk does not wait until all of them are served.
#include <gtest/gtest.h>
#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <functional>
#include <memory>
#include <semaphore>
#include <string>
#include <thread>
#include <utility>
#include <vector>

#include "stillpoint/ntrip/server/fan_test_support.h"

namespace stillpoint::ntrip {
namespace {

// Lets all in; calls the test from inside the worker.
class WatchedLedger final : public Ledger {
 public:
  void ask(const LedgerQuestion& /*question*/, Answer answer) override {
    (std::exchange(first_, false) ? on_first : on_ask)();
    answer({Admission::kAllowed, 0, std::chrono::nanoseconds{0}});
  }
  void on_connect(const SessionFacts& /*facts*/) override { on_come(); }
  std::optional<std::uint64_t> on_progress(
      SessionId /*session*/, const SessionAccount& /*account*/) override {
    return std::nullopt;
  }
  void on_disconnect(SessionId /*session*/,
                     Departure /*why*/,
                     const SessionAccount& /*account*/) override {
    on_go();
  }

  std::function<void()> on_first, on_ask = [] {}, on_come = [] {},
                                  on_go = [] {};

 private:
  bool first_ = true;
};

class Pair {
 public:
  Pair() { ::socketpair(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0, ends_.data()); }
  ~Pair() { close(); }
  Pair(const Pair&) = delete;
  Pair& operator=(const Pair&) = delete;

  void come_to(FanOut& fan) {
    const std::string request = request_v1();
    EXPECT_EQ(::send(ends_[1], request.data(), request.size(), 0),
              static_cast<ssize_t>(request.size()));
    fan.adopt(ends_[0], false);
  }
  void close() {
    if (ends_[1] >= 0) {
      ::close(std::exchange(ends_[1], -1));
    }
  }
  // Waits; 0 when the other side has closed.
  [[nodiscard]] std::size_t read_some() const {
    std::array<char, 65536> room{};
    const ssize_t got = ::recv(ends_[1], room.data(), room.size(), 0);
    return static_cast<std::size_t>(std::max(got, ssize_t{0}));
  }
  // What is there at this moment.
  [[nodiscard]] std::string have() const {
    std::array<char, 4096> room{};
    const ssize_t got =
        ::recv(ends_[1], room.data(), room.size(), MSG_DONTWAIT | MSG_PEEK);
    return {room.data(), static_cast<std::size_t>(std::max(got, ssize_t{0}))};
  }

 private:
  std::array<int, 2> ends_{};
};

constexpr std::string_view kAnswer = "ICY 200 OK\r\n\r\n";
constexpr std::string_view kText = "corrections";
constexpr int kCrowd = 100;

// One worker, held up in the first rover's question until a crowd stands at
// the door, so that it meets all of them in the same turn.
class CrowdAtTheDoor {
 public:
  CrowdAtTheDoor() {
    auto made =
        FanOut::make({},
                     1,
                     {.steady = [] { return std::chrono::nanoseconds{1}; },
                      .unix_s = [] { return std::int64_t{0}; }},
                     ledger);
    EXPECT_TRUE(made);
    fan = std::move(*made);
    fan->add_mount(std::string(kMount));
  }
  ~CrowdAtTheDoor() {
    fan->stop();
    worker_.join();
  }
  CrowdAtTheDoor(const CrowdAtTheDoor&) = delete;
  CrowdAtTheDoor& operator=(const CrowdAtTheDoor&) = delete;

  void open() {
    std::binary_semaphore there(0);
    std::binary_semaphore go(0);
    ledger.on_first = [&] {
      there.release();
      go.acquire();
    };
    first.come_to(*fan);
    worker_ = std::thread([this] { fan->run_worker(0); });
    there.acquire();
    for (Pair& one : crowd) {
      one.come_to(*fan);
    }
    go.release();
    done_.acquire();
  }
  void publish(int times = 1) {
    std::string text;
    for (int i = 0; i < times; ++i) {
      text += kText;
    }
    fan->on_chunk(
        kMount,
        {reinterpret_cast<const std::uint8_t*>(text.data()), text.size()});
  }
  void end() { done_.release(); }
  [[nodiscard]] bool first_has_it() const {
    return first.have() == std::string(kAnswer) + std::string(kText);
  }

  WatchedLedger ledger;
  std::unique_ptr<FanOut> fan;
  Pair first;
  std::array<Pair, kCrowd> crowd;

 private:
  std::thread worker_;
  std::binary_semaphore done_{0};
};

TEST(FanStorm, ChunkOvertakesRequestsThatAreStillToBeRead) {
  CrowdAtTheDoor door;
  int asked = 0;
  bool in_time = false;
  door.ledger.on_ask = [&] {
    ++asked;
    if (asked == 10) {
      door.publish();
    } else if (asked == 11) {
      in_time = door.first_has_it();
    } else if (asked == kCrowd) {
      door.end();
    }
  };
  door.open();
  EXPECT_TRUE(in_time);
}

TEST(FanStorm, ChunkOvertakesVerdictsThatAreStillToBeActedOn) {
  CrowdAtTheDoor door;
  int came = 0;
  bool in_time = false;
  door.ledger.on_come = [&] {
    ++came;
    if (came == 10) {
      door.publish();
    } else if (came == 12) {
      in_time = door.first_has_it();
    } else if (came == kCrowd + 1) {
      door.end();
    }
  };
  door.open();
  EXPECT_TRUE(in_time);
}

// A worker that is held up finds in the ring what the new limit keeps there.
TEST(FanStorm, WorkerThatComesLateFindsAsMuchAsTheLimitsSay) {
  CrowdAtTheDoor door;
  FanOutLimits limits;
  limits.lag_bytes = std::size_t{4} << 20;
  door.fan->set_limits(limits);
  constexpr std::size_t kChunks = 100'000;  // 1.1 MB, more than before
  int came = 0;
  door.ledger.on_come = [&] {
    if (++came == kCrowd + 1) {
      for (std::size_t i = 0; i < kChunks / 100; ++i) {
        door.publish(100);
      }
      door.end();
    }
  };
  door.open();
  std::size_t got = 0;
  while (got < kAnswer.size() + kChunks * kText.size()) {
    const std::size_t more = door.first.read_some();
    ASSERT_GT(more, 0U) << got;
    got += more;
  }
}

// Whoever has been there for long is not served after a crowd that came later.
TEST(FanStorm, ChunkGoesFirstToWhoCameFirst) {
  CrowdAtTheDoor door;
  int came = 0;
  bool in_time = false;
  door.ledger.on_come = [&] {
    if (++came == kCrowd + 1) {
      // The worker finds out in the middle of the chunk.
      door.crowd[kCrowd / 2].close();
      door.publish();
      door.end();
    }
  };
  std::binary_semaphore gone(0);
  door.ledger.on_go = [&] {
    if (came == kCrowd + 1 && std::exchange(came, 0) > 0) {
      in_time = door.first_has_it();
      gone.release();
    }
  };
  door.open();
  gone.acquire();
  EXPECT_TRUE(in_time);
}

}  // namespace
}  // namespace stillpoint::ntrip
