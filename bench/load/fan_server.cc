// fan_server run --config F [--workers N]
//
// The fan-out engine alone, with the command line, the ports and the pages of
// the station as far as the load tools use them: what the whole station costs
// besides its engine shows in the difference. Of station.toml it reads
// receiver.source (tcp://127.0.0.1:PORT), rovers.*, the first mountpoint's name
// and health.listen; everybody is let in.
#include <arpa/inet.h>
#include <fcntl.h>
#include <fmt/format.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <unistd.h>

#define TOML_EXCEPTIONS 0
#include <toml++/toml.h>

#include <array>
#include <atomic>
#include <chrono>
#include <csignal>
#include <cstdlib>
#include <fstream>
#include <sstream>
#include <string>
#include <thread>
#include <vector>

#include "load/rover_socket.h"
#include "load/stamp_frame.h"
#include "open_ledger.h"
#include "stillpoint/ntrip/server/fan_out.h"
#include "stillpoint/ntrip/server/listen_socket.h"

namespace {

using namespace stillpoint;
using namespace stillpoint::ntrip;
using Clock = std::chrono::steady_clock;

[[noreturn]] void give_up(const std::string& why) {
  fmt::print(stderr, "fan_server: {}\n", why);
  std::exit(1);
}

struct Settings {
  std::uint16_t source = 0, rovers = 0, tls = 0, health = 0;
  std::string certificate, key, mount;
  FanOutOptions options;
};

std::uint16_t port_in(const std::string& address) {
  const std::size_t colon = address.rfind(':');
  return colon == std::string::npos ? std::uint16_t{0}
                                    : static_cast<std::uint16_t>(std::atoi(
                                          address.c_str() + colon + 1));
}

std::string text_of(const std::string& path) {
  std::ostringstream text;
  text << std::ifstream(path).rdbuf();
  return text.str();
}

Settings read_settings(const std::string& path) {
  const toml::parse_result parsed = toml::parse_file(path);
  if (!parsed) {
    give_up(std::string(parsed.error().description()));
  }
  const toml::table& root = parsed.table();
  const auto number = [&root](const char* key, std::int64_t other) {
    return root.at_path(key).value_or(other);
  };
  Settings s;
  s.source = port_in(root.at_path("receiver.source").value_or(std::string()));
  s.rovers = port_in(root.at_path("rovers.listen").value_or(std::string()));
  s.tls = port_in(root.at_path("rovers.tls_listen").value_or(std::string()));
  s.health = port_in(root.at_path("health.listen").value_or(std::string()));
  s.certificate = root.at_path("rovers.certificate").value_or(std::string());
  s.key = root.at_path("rovers.key").value_or(std::string());
  s.mount = root.at_path("mountpoint[0].name").value_or(std::string());
  FanOutOptions& o = s.options;
  o.program_version = "engine alone";
  o.most_rovers = static_cast<std::size_t>(number("rovers.most", 1000));
  o.most_connections = o.most_rovers + 2000;
  o.most_per_address =
      static_cast<std::size_t>(number("rovers.most_per_address", 100));
  o.lag_bytes = static_cast<std::size_t>(number("rovers.lag_kb", 256)) * 1024;
  o.lag_age = std::chrono::seconds(number("rovers.lag_s", 15));
  o.write_deadline =
      std::chrono::seconds(number("rovers.write_deadline_s", 10));
  o.request_deadline =
      std::chrono::seconds(number("rovers.request_deadline_s", 10));
  return s;
}

// Whole frames from the source to the fan-out, all of a read in one chunk.
void feed(FanOut& fan, const Settings& s, std::atomic<std::uint64_t>& bytes) {
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  address.sin_port = htons(s.source);
  const int fd = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
  while (::connect(fd,
                   reinterpret_cast<const sockaddr*>(&address),
                   sizeof(address)) != 0) {
    std::this_thread::sleep_for(std::chrono::milliseconds{200});
  }
  std::vector<std::uint8_t> held;
  std::array<std::uint8_t, 16 * 1024> room{};
  ssize_t got = 0;
  while ((got = ::recv(fd, room.data(), room.size(), 0)) > 0) {
    held.insert(held.end(), room.begin(), room.begin() + got);
    ByteSpan left(held);
    while (left.size() >= 3) {
      const auto length = bench::frame_length(left);
      if (!length) {
        give_up("the source sends no frames");
      }
      if (left.size() < *length) {
        break;
      }
      left = left.subspan(*length);
    }
    fan.on_chunk(s.mount, ByteSpan(held).first(held.size() - left.size()));
    held.erase(held.begin(),
               held.end() - static_cast<std::ptrdiff_t>(left.size()));
    bytes += static_cast<std::uint64_t>(got);
  }
  ::close(fd);
}

std::string status_text(const FanOutCounts& c, std::uint64_t received) {
  std::string departures;
  for (std::size_t i = 0; i < kDepartures; ++i) {
    departures += fmt::format(R"({}"{}":{})",
                              i == 0 ? "" : ",",
                              departure_name(static_cast<Departure>(i)),
                              c.departures[i]);
  }
  return fmt::format(
      R"({{"rovers":{{"connections":{},"rovers":{},"arrived":{},)"
      R"("turned_away":{},"refused":{},"sessions":{},"chunks":{},)"
      R"("wire_bytes":{},"offered_bytes":{},"sent_bytes":{},)"
      R"("unsent_bytes":{},"departures":{{{}}}}},)"
      R"("archive":{{"durable_offset":{},"end_offset":{}}}}})",
      c.connections,
      c.rovers,
      c.arrived,
      c.turned_away,
      c.refused,
      c.sessions,
      c.chunks,
      c.wire_bytes,
      c.offered_bytes,
      c.sent_bytes,
      c.unsent_bytes,
      departures,
      received,
      received);
}

// /status.json, whatever is asked for; one connection after the other.
void tell(const FanOut& fan,
          std::uint16_t port,
          const std::atomic<std::uint64_t>& bytes) {
  const auto opened = open_listen_socket("127.0.0.1", port);
  if (!opened) {
    give_up(opened.error().text());
  }
  ::fcntl(opened->fd, F_SETFL, 0);  // waits
  int fd = -1;
  while ((fd = ::accept4(opened->fd, nullptr, nullptr, SOCK_CLOEXEC)) >= 0) {
    std::array<char, 2048> request{};
    if (::recv(fd, request.data(), request.size(), 0) > 0) {
      const std::string body = status_text(fan.counts(), bytes.load());
      const std::string answer = fmt::format(
          "HTTP/1.1 200 OK\r\nContent-Type: application/json\r\n"
          "Connection: close\r\nContent-Length: {}\r\n\r\n{}",
          body.size(),
          body);
      ::send(fd, answer.data(), answer.size(), MSG_NOSIGNAL);
    }
    ::close(fd);
  }
}

}  // namespace

int main(int argc, char** argv) {
  if ((argc != 4 && argc != 6) || std::string(argv[2]) != "--config") {
    give_up("usage: fan_server run --config F [--workers N]");
  }
  std::signal(SIGPIPE, SIG_IGN);
  bench::raise_descriptor_limit();
  const Settings s = read_settings(argv[3]);
  const unsigned workers =
      argc == 6 ? static_cast<unsigned>(std::atoi(argv[5]))
                : std::max(1U, std::thread::hardware_concurrency());
  OpenLedger ledger;
  auto made =
      FanOut::make(s.options,
                   workers,
                   {.steady = [] { return Clock::now().time_since_epoch(); },
                    .unix_s = [] { return std::int64_t{std::time(nullptr)}; }},
                   ledger);
  if (!made) {
    give_up(made.error().text());
  }
  FanOut& fan = **made;
  fan.add_mount(s.mount);
  if (s.rovers != 0 && !fan.listen({"127.0.0.1", s.rovers, false})) {
    give_up("the rovers' port is taken");
  }
  if (s.tls != 0 &&
      (!fan.set_certificate(text_of(s.certificate), text_of(s.key)) ||
       !fan.listen({"127.0.0.1", s.tls, true}))) {
    give_up("no TLS");
  }
  std::atomic<std::uint64_t> bytes = 0;
  for (unsigned i = 0; i < workers; ++i) {
    std::thread([&fan, i] { fan.run_worker(i); }).detach();
  }
  std::thread([&] { tell(fan, s.health, bytes); }).detach();
  // Until it is killed; SIGTERM is the end of a bench.
  while (true) {
    feed(fan, s, bytes);
    std::this_thread::sleep_for(std::chrono::milliseconds{200});
  }
}
