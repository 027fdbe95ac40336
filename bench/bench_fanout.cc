// bench_fanout [ROVERS [CHUNKS]]
//
// Processor time per delivered chunk of the fan-out against a bare send() loop
// over as many sockets, in one run: version 1 rovers on 127.0.0.1, chunks of
// 700 bytes (a five-system MSM7 epoch is larger, a thinned one smaller). Prints
// both and their ratio, the longest time from a chunk to its last rover, and
// the heap of a rover. A plain program: what is measured is a thread's own
// time, and it takes seconds a round.
#include <arpa/inet.h>
#include <fmt/format.h>
#include <malloc.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <cstdlib>
#include <ctime>
#include <string>
#include <thread>
#include <vector>

#include "open_ledger.h"
#include "stillpoint/ntrip/server/fan_out.h"

namespace {

using namespace stillpoint::ntrip;
using Clock = std::chrono::steady_clock;

constexpr std::size_t kChunkBytes = 700;
constexpr int kRounds = 5;

double cpu_s(clockid_t clock) {
  timespec time{};
  ::clock_gettime(clock, &time);
  return static_cast<double>(time.tv_sec) +
         1e-9 * static_cast<double>(time.tv_nsec);
}

[[noreturn]] void give_up(const char* why) {
  fmt::print(stderr, "bench_fanout: {}\n", why);
  std::exit(1);
}

int connect_to(std::uint16_t port) {
  const int fd = ::socket(AF_INET, SOCK_STREAM, 0);
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_port = htons(port);
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  if (fd < 0 || ::connect(fd,
                          reinterpret_cast<const sockaddr*>(&address),
                          sizeof(address)) != 0) {
    give_up("no connection (file descriptors?)");
  }
  return fd;
}

void read_all(int fd, std::size_t bytes) {
  std::string room(bytes, '\0');
  if (::recv(fd, room.data(), bytes, MSG_WAITALL) !=
      static_cast<ssize_t>(bytes)) {
    give_up("a rover lost its stream");
  }
}

std::size_t heap_bytes() {
  const struct mallinfo2 info = ::mallinfo2();
  return info.uordblks + info.hblkhd;
}

struct Figures {
  double ns_per_chunk = 0;
  double slowest_ms = 0;
};

Figures median(std::vector<Figures> all) {
  std::sort(all.begin(), all.end(), [](const Figures& a, const Figures& b) {
    return a.ns_per_chunk < b.ns_per_chunk;
  });
  return all[all.size() / 2];
}

// The sockets that the bare loop sends to, set up as the fan-out's are.
struct Pairs {
  explicit Pairs(std::size_t count) {
    const int listener = ::socket(AF_INET, SOCK_STREAM, 0);
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    socklen_t size = sizeof(address);
    ::bind(listener, reinterpret_cast<const sockaddr*>(&address), size);
    ::listen(listener, 64);
    ::getsockname(listener, reinterpret_cast<sockaddr*>(&address), &size);
    for (std::size_t i = 0; i < count; ++i) {
      readers.push_back(connect_to(ntohs(address.sin_port)));
      const int fd = ::accept4(listener, nullptr, nullptr, SOCK_NONBLOCK);
      const int yes = 1;
      const int buffer = FanOutOptions{}.send_buffer_bytes;
      ::setsockopt(fd, IPPROTO_TCP, TCP_NODELAY, &yes, sizeof(yes));
      ::setsockopt(fd, SOL_SOCKET, SO_SNDBUF, &buffer, sizeof(buffer));
      senders.push_back(fd);
    }
    ::close(listener);
  }
  ~Pairs() {
    for (const std::vector<int>* list : {&readers, &senders}) {
      std::for_each(list->begin(), list->end(), ::close);
    }
  }
  Pairs(const Pairs&) = delete;
  Pairs& operator=(const Pairs&) = delete;

  std::vector<int> readers, senders;
};

Figures bare_round(const Pairs& pairs, int chunks, const std::string& chunk) {
  double spent_s = 0;
  double slowest_s = 0;
  for (int i = 0; i < chunks; ++i) {
    const auto begin = Clock::now();
    // A thread of its own, as the worker is: started anew it begins as cold.
    std::thread sender([&] {
      const double before = cpu_s(CLOCK_THREAD_CPUTIME_ID);
      for (const int fd : pairs.senders) {
        if (::send(fd, chunk.data(), chunk.size(), MSG_NOSIGNAL) !=
            static_cast<ssize_t>(chunk.size())) {
          give_up("a bare send() was short");
        }
      }
      spent_s += cpu_s(CLOCK_THREAD_CPUTIME_ID) - before;
    });
    sender.join();
    slowest_s = std::max(
        slowest_s, std::chrono::duration<double>(Clock::now() - begin).count());
    for (const int fd : pairs.readers) {
      read_all(fd, chunk.size());
    }
  }
  return {1e9 * spent_s / (static_cast<double>(pairs.senders.size()) * chunks),
          1e3 * slowest_s};
}

class Served {
 public:
  explicit Served(std::size_t rovers) {
    FanOutOptions options;
    options.most_per_address = rovers;
    options.program_version = "bench";
    auto made =
        FanOut::make(options,
                     1,
                     {.steady = [] { return Clock::now().time_since_epoch(); },
                      .unix_s = [] { return std::int64_t{0}; }},
                     ledger_);
    if (!made) {
      give_up("the fan-out does not begin");
    }
    fan_ = std::move(*made);
    fan_->add_mount("LHOL00XXX");
    const std::uint16_t port = fan_->listen({}).value_or(0);
    const std::size_t before = heap_bytes();
    worker_ = std::thread([this] { fan_->run_worker(0); });
    ::pthread_getcpuclockid(worker_.native_handle(), &clock_);
    readers.reserve(rovers);
    const std::string request =
        "GET /LHOL00XXX HTTP/1.0\r\nUser-Agent: NTRIP SPDEMO-R1\r\n\r\n";
    for (std::size_t i = 0; i < rovers; ++i) {
      readers.push_back(connect_to(port));
      if (::send(readers.back(), request.data(), request.size(), 0) < 0) {
        give_up("a request was not sent");
      }
      read_all(readers.back(), 14);  // "ICY 200 OK"
    }
    heap_per_rover = (heap_bytes() - before) / rovers;
  }
  ~Served() {
    fan_->stop();
    worker_.join();
    std::for_each(readers.begin(), readers.end(), ::close);
  }
  Served(const Served&) = delete;
  Served& operator=(const Served&) = delete;

  Figures round(int chunks, const std::string& chunk) {
    const double before = cpu_s(clock_);
    double slowest_s = 0;
    for (int i = 0; i < chunks; ++i) {
      const auto begin = Clock::now();
      fan_->on_chunk(
          "LHOL00XXX",
          {reinterpret_cast<const std::uint8_t*>(chunk.data()), chunk.size()});
      delivered_ += readers.size();
      while (fan_->counts().chunks < delivered_) {
        std::this_thread::sleep_for(std::chrono::microseconds{200});
      }
      slowest_s =
          std::max(slowest_s,
                   std::chrono::duration<double>(Clock::now() - begin).count());
      for (const int fd : readers) {
        read_all(fd, chunk.size());
      }
    }
    return {1e9 * (cpu_s(clock_) - before) /
                (static_cast<double>(readers.size()) * chunks),
            1e3 * slowest_s};
  }

  std::vector<int> readers;
  std::size_t heap_per_rover = 0;

 private:
  OpenLedger ledger_;
  std::unique_ptr<FanOut> fan_;
  std::thread worker_;
  clockid_t clock_{};
  std::uint64_t delivered_ = 0;
};

void measure(std::size_t rovers, int chunks) {
  const std::string chunk(kChunkBytes, '\xD3');
  std::vector<Figures> bare;
  std::vector<Figures> served;
  std::size_t heap = 0;
  // One after the other: there are not descriptors enough for both at once.
  {
    const Pairs pairs(rovers);
    bare_round(pairs, 2, chunk);  // buffers are there from here on
    for (int i = 0; i < kRounds; ++i) {
      bare.push_back(bare_round(pairs, chunks, chunk));
    }
  }
  {
    Served fan(rovers);
    heap = fan.heap_per_rover;
    fan.round(2, chunk);
    for (int i = 0; i < kRounds; ++i) {
      served.push_back(fan.round(chunks, chunk));
    }
  }
  const Figures a = median(bare);
  const Figures b = median(served);
  fmt::print(
      "rovers={} chunks={} bare_ns={:.0f} fanout_ns={:.0f} ratio={:.3f} "
      "bare_slowest_ms={:.1f} fanout_slowest_ms={:.1f} heap_per_rover={}\n",
      rovers,
      chunks,
      a.ns_per_chunk,
      b.ns_per_chunk,
      b.ns_per_chunk / a.ns_per_chunk,
      a.slowest_ms,
      b.slowest_ms,
      heap);
}

}  // namespace

int main(int argc, char** argv) {
  rlimit files{};
  ::getrlimit(RLIMIT_NOFILE, &files);
  files.rlim_cur = files.rlim_max;
  ::setrlimit(RLIMIT_NOFILE, &files);
  const int chunks = argc > 2 ? std::atoi(argv[2]) : 50;
  if (argc > 1) {
    measure(static_cast<std::size_t>(std::max(std::atoi(argv[1]), 1)),
            std::max(chunks, 1));
    return 0;
  }
  measure(1000, chunks);
  measure(5000, chunks);
  return 0;
}
