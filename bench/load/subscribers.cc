// subscribers --kind frames|nats|mqtt --port P --pid PID [--source-port S]
//
// Thousands of subscribers of one stream at one server, and the publisher, for
// bench/brokers.py: what the server's process spends a delivered chunk.
//   frames  our protocol version 1, or the bare loop; the chunk comes from the
//           source port, to which the server connects
//   nats    CONNECT, SUB, PUB; the chunk is published by one more client
//   mqtt    version 3.1.1, QoS 0, likewise
// "round N" on stdin publishes N chunks, each when all subscribers have the one
// before, and answers with one JSON line: processor time of the server's
// process (all threads, user and system) and time on the clock. Every byte that
// arrives is compared with what must arrive.
//
// source   MQTT 3.1.1 (OASIS), sections 3.1, 3.3, 3.8; the NATS client
//          protocol as its server documents it; both from memory
#include <fmt/format.h>
#include <sys/epoll.h>
#include <unistd.h>

#include <CLI/CLI.hpp>
#include <array>
#include <csignal>
#include <cstring>
#include <ctime>
#include <memory>
#include <string>
#include <vector>

#include "load/receiver_stand_in.h"
#include "load/rover_socket.h"
#include "load/stamp_frame.h"

namespace {

using namespace stillpoint::bench;

constexpr std::string_view kTopic = "LHOL00XXX";

struct Options {
  std::string kind = "frames";
  unsigned count = 5000;
  std::uint16_t port = 0, source_port = 0;
  int pid = 0;
  std::size_t chunk_bytes = 700;
};

[[noreturn]] void give_up(const std::string& why) {
  fmt::print(stderr, "subscribers: {}\n", why);
  std::exit(1);
}

std::string mqtt_packet(char type, const std::string& rest) {
  std::string head(1, type);
  std::size_t left = rest.size();
  do {
    const auto low = static_cast<unsigned>(left % 128);
    left /= 128;
    head += static_cast<char>(low | (left > 0 ? 128U : 0U));
  } while (left > 0);
  return head + rest;
}

std::string mqtt_text(std::string_view text) {
  return std::string(1, static_cast<char>(text.size() / 256)) +
         static_cast<char>(text.size() % 256) + std::string(text);
}

// What a kind of server is told, and what it answers.
struct Dialect {
  std::string introduction;  // all that a publisher says first
  std::string opening;       // the same with a subscription
  std::string greeting;      // the end of what is answered
  std::string publish, delivered;
};

Dialect dialect_of(const Options& o, const std::string& chunk, unsigned n) {
  if (o.kind == "nats") {
    const std::string hello =
        R"(CONNECT {"verbose":false,"pedantic":false,"protocol":1})"
        "\r\n";
    return {hello,
            hello + fmt::format("SUB {} 1\r\nPING\r\n", kTopic),
            "PONG\r\n",
            fmt::format("PUB {} {}\r\n{}\r\n", kTopic, chunk.size(), chunk),
            fmt::format("MSG {} 1 {}\r\n{}\r\n", kTopic, chunk.size(), chunk)};
  }
  if (o.kind == "mqtt") {
    const std::string publish = mqtt_packet('\x30', mqtt_text(kTopic) + chunk);
    // Clean session, no keep-alive; subscription 1 with QoS 0.
    const std::string hello =
        mqtt_packet('\x10',
                    mqtt_text("MQTT") + std::string("\4\2\0\0", 4) +
                        mqtt_text(fmt::format("rover-{}", n)));
    const std::string subscribe =
        mqtt_packet('\x82', std::string("\0\1", 2) + mqtt_text(kTopic) + '\0');
    return {hello,
            hello + subscribe,
            std::string("\x90\3\0\1\0", 5),
            publish,
            publish};
  }
  return {"",
          fmt::format("GET /{} HTTP/1.0\r\nUser-Agent: NTRIP SPDEMO-R1\r\n\r\n",
                      kTopic),
          "\r\n\r\n",
          "",
          chunk};
}

double processor_ns(clockid_t clock) {
  timespec time{};
  if (::clock_gettime(clock, &time) != 0) {
    give_up("the server is gone");
  }
  return 1e9 * static_cast<double>(time.tv_sec) +
         static_cast<double>(time.tv_nsec);
}

class Run {
 public:
  explicit Run(const Options& options)
      : options_(options),
        chunk_(make_stamp_frame({}, options.chunk_bytes)),
        dialect_(dialect_of(options, chunk_, options.count)),
        twice_(dialect_.delivered + dialect_.delivered),
        epoll_(::epoll_create1(EPOLL_CLOEXEC)) {
    if (::clock_getcpuclockid(options.pid, &clock_) != 0) {
      give_up("no such process");
    }
    if (options.source_port != 0 && !source_.listen(options.source_port)) {
      give_up("the source's port is taken");
    }
    for (unsigned n = 0; n < options.count; ++n) {
      subscribe(n);
    }
    if (options.kind != "frames") {
      publisher_.open({}, 0, options.port, false);
      publisher_.say(dialect_.introduction);
      settle();
    }
    while (options.source_port != 0 && !source_.connected()) {
      ::usleep(10'000);
      source_.accept();
    }
  }

  std::string round(int chunks) {
    const double cpu = processor_ns(clock_);
    const std::int64_t begin = realtime_ns();
    for (int i = 0; i < chunks; ++i) {
      publish();
      unsigned waiting = options_.count;
      while (waiting > 0) {
        waiting -= read_some();
      }
    }
    const double deliveries =
        static_cast<double>(options_.count) * static_cast<double>(chunks);
    return fmt::format(R"({{"kind":"{}","deliveries":{:.0f},"cpu_ns":{:.0f},)"
                       R"("clock_ns":{:.0f}}})",
                       options_.kind,
                       deliveries,
                       (processor_ns(clock_) - cpu) / deliveries,
                       static_cast<double>(realtime_ns() - begin) / deliveries);
  }

 private:
  struct Subscriber {
    RoverSocket socket;
    std::size_t got = 0;  // of the chunk
  };

  void subscribe(unsigned n) {
    auto subscriber = std::make_unique<Subscriber>();
    RoverSocket& socket = subscriber->socket;
    const Dialect dialect = dialect_of(options_, chunk_, n);
    if (!socket.open({}, 0, options_.port, false)) {
      give_up("no connection");
    }
    socket.say(dialect.opening);
    std::string answer;
    // One after the other: no server is asked for more than it can.
    while (!answer.ends_with(dialect.greeting)) {
      if (!socket.push()) {
        give_up("connection lost before the answer");
      }
      const Received got = socket.receive();
      if (got.closed && !socket.has_more()) {
        give_up("closed before the answer");
      }
      answer.append(got.bytes.begin(), got.bytes.end());
    }
    epoll_event event{};
    event.events = EPOLLIN;
    event.data.u64 = n;
    ::epoll_ctl(epoll_, EPOLL_CTL_ADD, socket.fd(), &event);
    subscribers_.push_back(std::move(subscriber));
  }

  // Some servers ask new clients whether they are alive: answered until they
  // are quiet for four seconds.
  void settle() {
    std::array<epoll_event, 256> events{};
    int count = 0;
    while (!publisher_.push() || publisher_.has_more()) {
      ::usleep(1000);
    }
    while ((count = ::epoll_wait(epoll_, events.data(), 256, 4000)) > 0) {
      for (int i = 0; i < count; ++i) {
        RoverSocket& socket =
            subscribers_[events[static_cast<std::size_t>(i)].data.u64]->socket;
        const Received got = socket.receive();
        const std::string text(got.bytes.begin(), got.bytes.end());
        if (text != "PING\r\n") {
          give_up("a server says what it should not: " + text);
        }
        socket.say("PONG\r\n");
        socket.push();
      }
    }
  }

  void publish() {
    if (options_.kind == "frames") {
      source_.send(chunk_);
      return;
    }
    const Received said = publisher_.receive();  // a question whether it lives
    if (!said.bytes.empty() && options_.kind == "nats") {
      publisher_.say("PONG\r\n");
    }
    publisher_.say(dialect_.publish);
    while (publisher_.has_more()) {
      publisher_.push();
    }
  }

  // Returns how many have the whole chunk now. Looks once in a while and never
  // waits in epoll: else each send() would pay for waking us, and be
  // interrupted by us, as it is not by rovers on other machines.
  unsigned read_some() {
    std::array<epoll_event, 512> events{};
    const int count = ::epoll_wait(epoll_, events.data(), 512, 0);
    looks_in_vain_ = count == 0 ? looks_in_vain_ + 1 : 0;
    if (looks_in_vain_ > 60'000) {
      give_up("a chunk did not arrive within a minute");
    }
    if (count == 0) {
      ::usleep(1000);
    }
    unsigned whole = 0;
    for (int i = 0; i < count; ++i) {
      Subscriber& s =
          *subscribers_[events[static_cast<std::size_t>(i)].data.u64];
      const Received got = s.socket.receive();
      if (got.closed || s.got + got.bytes.size() > dialect_.delivered.size() ||
          std::memcmp(
              twice_.data() + s.got, got.bytes.data(), got.bytes.size()) != 0) {
        give_up("a subscriber lost its stream");
      }
      s.got += got.bytes.size();
      if (s.got == dialect_.delivered.size()) {
        s.got = 0;
        ++whole;
      }
    }
    return whole;
  }

  const Options options_;
  const std::string chunk_;
  const Dialect dialect_;
  const std::string twice_;
  const int epoll_;
  clockid_t clock_{};
  ReceiverStandIn source_;
  RoverSocket publisher_;
  std::vector<std::unique_ptr<Subscriber>> subscribers_;
  int looks_in_vain_ = 0;
};

}  // namespace

int main(int argc, char** argv) {
  Options options;
  CLI::App app("subscribers of one stream, and its publisher");
  app.add_option("--kind", options.kind)
      ->check(CLI::IsMember({"frames", "nats", "mqtt"}));
  app.add_option("--count", options.count);
  app.add_option("--port", options.port)->required();
  app.add_option("--source-port", options.source_port);
  app.add_option("--pid", options.pid)->required();
  app.add_option("--chunk-bytes", options.chunk_bytes)
      ->check(CLI::Range(kLeastFrame, kMostFrame));
  CLI11_PARSE(app, argc, argv);
  std::signal(SIGPIPE, SIG_IGN);
  raise_descriptor_limit();
  Run run(options);
  fmt::print("{{\"ready\":{}}}\n", options.count);
  std::fflush(stdout);
  int chunks = 0;
  while (std::scanf(" round %d", &chunks) == 1) {
    fmt::print("{}\n", run.round(chunks));
    std::fflush(stdout);
  }
  return 0;
}
