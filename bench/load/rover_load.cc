// rover_load good | frozen | garbage | drip | endless
//
// Rovers of one kind against a caster on 127.0.0.1; bench/hostile.py starts one
// process for the good ones and one for each attack, so that an attacker's work
// is never done in the thread that measures. One thread a process.
//
// `good` is also the receiver (--feed-port): it sends stamped frames to the
// station that connects there, and takes the time from there to each rover
// twice: at the rover's socket, as the system stamps the packet, and when the
// rover has read it. The first does not contain this program's own delay.
//
// Commands on stdin, a line each; what is answered is one JSON object a line:
//   wait        answers when all are in place
//   phase NAME  times from here on are counted under this name (good)
//   tell        answers with the totals
//   pause       stops the receiver, answers when all have the last frame (good)
//   go          the receiver goes on (good)
//   stop        totals, and the end; so does the end of stdin
#include <fmt/format.h>
#include <sys/epoll.h>
#include <sys/timerfd.h>
#include <unistd.h>

#include <CLI/CLI.hpp>
#include <array>
#include <chrono>
#include <csignal>
#include <memory>
#include <string>

#include "load/good_rovers.h"
#include "load/hostile_rovers.h"
#include "load/receiver_stand_in.h"

namespace {

using namespace stillpoint::bench;

constexpr std::uint64_t kStdin = ~std::uint64_t{0};
constexpr std::uint64_t kListener = kStdin - 1;
constexpr std::uint64_t kFeedTimer = kStdin - 2;
constexpr int kTick_ms = 50;

struct Options {
  std::string kind = "good";
  unsigned count = 500;
  Target target;
  Origin origin;
  double arrive_s = 0;
  bool again = false;
  std::uint16_t feed_port = 0;
  double feed_hz = 10;
  std::size_t frame_bytes = 700;
};

[[noreturn]] void give_up(const std::string& why) {
  fmt::print(stderr, "rover_load: {}\n", why);
  std::exit(1);
}

// Whoever asked may be gone.
void say(const std::string& line) {
  std::puts(line.c_str());
  std::fflush(stdout);
}

void watch(int epoll, int fd, std::uint64_t mark) {
  epoll_event event{};
  event.events = EPOLLIN;
  event.data.u64 = mark;
  ::epoll_ctl(epoll, EPOLL_CTL_ADD, fd, &event);
}

class Run {
 public:
  explicit Run(const Options& options)
      : options_(options), epoll_(::epoll_create1(EPOLL_CLOEXEC)) {
    watch(epoll_, STDIN_FILENO, kStdin);
    if (options.kind == "good") {
      good_ = std::make_unique<GoodRovers>(
          options.target, options.origin, options.count, options.again, epoll_);
    } else {
      hostile_ = std::make_unique<HostileRovers>(
          HostileOptions{.malice = malice_of(options.kind).value(),
                         .count = options.count,
                         .target = options.target,
                         .origin = options.origin,
                         .again = options.again},
          epoll_);
    }
    if (options.feed_port != 0) {
      if (!receiver_.listen(options.feed_port)) {
        give_up("the receiver's port is taken");
      }
      watch(epoll_, receiver_.listener(), kListener);
      timer_ = ::timerfd_create(CLOCK_MONOTONIC, TFD_NONBLOCK | TFD_CLOEXEC);
      feed(true);
      watch(epoll_, timer_, kFeedTimer);
    }
  }

  void work() {
    const std::int64_t begin = realtime_ns();
    while (!over_) {
      std::array<epoll_event, 512> events{};
      const int count = ::epoll_wait(
          epoll_, events.data(), static_cast<int>(events.size()), pause_ms());
      const std::int64_t now = realtime_ns();
      for (int i = 0; i < count; ++i) {
        on_event(events[static_cast<std::size_t>(i)], now);
      }
      if (good_) {
        good_->arrive(
            1e-9 * static_cast<double>(now - begin), options_.arrive_s, now);
        receiver_.flush();
      } else {
        hostile_->tick(now);
      }
      answer_when_due();
    }
  }

 private:
  // Short while rovers arrive.
  [[nodiscard]] int pause_ms() const {
    return good_ && !good_->all_arrived() ? 2 : kTick_ms;
  }

  void on_event(const epoll_event& event, std::int64_t now) {
    switch (event.data.u64) {
      case kStdin:
        read_commands();
        break;
      case kListener:
        receiver_.accept();
        break;
      case kFeedTimer: {
        std::uint64_t times = 0;
        if (::read(timer_, &times, sizeof(times)) > 0) {
          receiver_.send_stamped(options_.frame_bytes);
        }
        break;
      }
      default:
        if (good_) {
          good_->on_event(
              static_cast<unsigned>(event.data.u64), event.events, now);
        } else {
          hostile_->on_event(
              static_cast<unsigned>(event.data.u64), event.events, now);
        }
        break;
    }
  }

  void feed(bool on) {
    const auto every_ns = static_cast<long>(1e9 / options_.feed_hz);
    itimerspec times{};
    times.it_interval = {.tv_sec = every_ns / 1'000'000'000,
                         .tv_nsec = every_ns % 1'000'000'000};
    times.it_value = on ? times.it_interval : timespec{};
    ::timerfd_settime(timer_, 0, &times, nullptr);
  }

  void read_commands() {
    std::array<char, 4096> room{};
    const ssize_t got = ::read(STDIN_FILENO, room.data(), room.size());
    if (got <= 0) {
      finish();
      return;
    }
    commands_.append(room.data(), static_cast<std::size_t>(got));
    while (commands_.find('\n') != std::string::npos) {
      const std::size_t end = commands_.find('\n');
      obey(commands_.substr(0, end));
      commands_.erase(0, end + 1);
    }
  }

  void obey(const std::string& command) {
    if (command == "wait") {
      waiting_ = true;
    } else if (command == "tell") {
      tell();
    } else if (command == "stop") {
      finish();
    } else if (good_ && command.starts_with("phase ")) {
      good_->begin_phase(command.substr(6));
    } else if (timer_ >= 0 && command == "pause") {
      feed(false);
      pausing_ = true;
    } else if (timer_ >= 0 && command == "go") {
      feed(true);
    } else {
      give_up("unknown command: " + command);
    }
  }

  void answer_when_due() {
    if (waiting_ && (good_ ? good_->all_arrived() : hostile_->all_settled())) {
      waiting_ = false;
      tell();
    }
    if (pausing_ && receiver_.flush() && receiver_.frames() > 0 &&
        good_->have(receiver_.frames() - 1)) {
      pausing_ = false;
      tell();
    }
  }

  void tell() {
    const std::string totals =
        good_ ? good_->totals_json() : hostile_->totals_json();
    say(fmt::format(
        R"({{"kind":"{}","rovers":{},"fed_frames":{},"fed_bytes":{}}})",
        options_.kind,
        totals,
        receiver_.frames(),
        receiver_.taken_bytes()));
  }

  void finish() {
    if (std::exchange(over_, true)) {
      return;
    }
    if (good_) {
      say(fmt::format(R"({{"kind":"good","rovers":{},"phases":{},)"
                      R"("fed_frames":{},"fed_bytes":{}}})",
                      good_->totals_json(),
                      good_->phases_json(),
                      receiver_.frames(),
                      receiver_.taken_bytes()));
    } else {
      hostile_->finish();
      tell();
    }
  }

  const Options options_;
  const int epoll_;
  std::unique_ptr<GoodRovers> good_;
  std::unique_ptr<HostileRovers> hostile_;
  ReceiverStandIn receiver_;
  int timer_ = -1;
  std::string commands_;
  bool waiting_ = false, pausing_ = false, over_ = false;
};

}  // namespace

int main(int argc, char** argv) {
  Options options;
  CLI::App app("rovers of one kind against a caster on 127.0.0.1");
  app.add_option("kind", options.kind)
      ->required()
      ->check(CLI::IsMember({"good", "frozen", "garbage", "drip", "endless"}));
  app.add_option("--count", options.count);
  app.add_option("--port", options.target.port, "0: all over TLS");
  app.add_option("--tls-port", options.target.tls_port);
  app.add_option("--mount", options.target.mount);
  app.add_option("--login", options.target.login, "base64 of user:password");
  app.add_option("--from", options.origin.first, "the first address used");
  app.add_option("--addresses", options.origin.addresses)
      ->check(CLI::Range(1U, 65'000U));
  app.add_option("--arrive-s", options.arrive_s, "all come within this time");
  app.add_flag("--again", options.again, "comes back when thrown out");
  app.add_option("--feed-port", options.feed_port, "the receiver's own port");
  app.add_option("--feed-hz", options.feed_hz)->check(CLI::Range(0.1, 1000.0));
  app.add_option("--frame-bytes", options.frame_bytes)
      ->check(CLI::Range(kLeastFrame, kMostFrame));
  CLI11_PARSE(app, argc, argv);
  std::signal(SIGPIPE, SIG_IGN);
  raise_descriptor_limit();
  Run(options).work();
  return 0;
}
