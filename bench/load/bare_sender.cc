// bare_sender LISTEN_PORT SOURCE_PORT ROVERS
//
// What every fan-out is compared with: takes ROVERS connections, throws away
// what they say, connects to the source, and gives each frame from there to all
// of them with one send() each, in a plain loop. No deadlines, no accounts, no
// partial writes: a rover that cannot follow ends it.
#include <arpa/inet.h>
#include <fmt/format.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <sys/socket.h>
#include <unistd.h>

#include <array>
#include <csignal>
#include <cstdlib>
#include <vector>

#include "load/rover_socket.h"
#include "load/stamp_frame.h"

namespace {

using namespace stillpoint;

[[noreturn]] void give_up(const char* why) {
  fmt::print(stderr, "bare_sender: {}\n", why);
  std::exit(1);
}

sockaddr_in local(int port) {
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  address.sin_port = htons(static_cast<std::uint16_t>(port));
  return address;
}

void set_option(int fd, int level, int name, int value) {
  ::setsockopt(fd, level, name, &value, sizeof(value));
}

std::vector<int> take_rovers(int port, std::size_t count) {
  const int listener = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
  set_option(listener, SOL_SOCKET, SO_REUSEADDR, 1);
  const sockaddr_in address = local(port);
  if (::bind(listener,
             reinterpret_cast<const sockaddr*>(&address),
             sizeof(address)) != 0 ||
      ::listen(listener, 4096) != 0) {
    give_up("the port is taken");
  }
  std::vector<int> rovers;
  while (rovers.size() < count) {
    const int fd = ::accept4(listener, nullptr, nullptr, SOCK_CLOEXEC);
    if (fd < 0) {
      give_up("no descriptors left");
    }
    // As the fan-out's sockets are set up.
    set_option(fd, IPPROTO_TCP, TCP_NODELAY, 1);
    set_option(fd, SOL_SOCKET, SO_SNDBUF, 64 * 1024);
    // The request is read before the answer, so that the rover knows by it
    // that it counts.
    std::array<char, 1024> request{};
    const std::string_view answer = "ICY 200 OK\r\n\r\n";
    if (::recv(fd, request.data(), request.size(), 0) <= 0 ||
        ::send(fd, answer.data(), answer.size(), MSG_NOSIGNAL) < 0) {
      give_up("a rover left early");
    }
    rovers.push_back(fd);
  }
  return rovers;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 4) {
    give_up("usage: bare_sender LISTEN_PORT SOURCE_PORT ROVERS");
  }
  bench::raise_descriptor_limit();
  const std::vector<int> rovers = take_rovers(
      std::atoi(argv[1]), static_cast<std::size_t>(std::atoi(argv[3])));
  const int source = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
  const sockaddr_in address = local(std::atoi(argv[2]));
  if (::connect(source,
                reinterpret_cast<const sockaddr*>(&address),
                sizeof(address)) != 0) {
    give_up("no source");
  }
  std::array<std::uint8_t, bench::kMostFrame> frame{};
  while (::recv(source, frame.data(), 3, MSG_WAITALL) == 3) {
    const auto length = bench::frame_length(frame);
    if (!length || ::recv(source, frame.data() + 3, *length - 3, MSG_WAITALL) !=
                       static_cast<ssize_t>(*length - 3)) {
      give_up("the source sends no frames");
    }
    for (const int fd : rovers) {
      if (::send(fd, frame.data(), *length, MSG_NOSIGNAL) !=
          static_cast<ssize_t>(*length)) {
        give_up("a send() was short");
      }
    }
  }
  return 0;
}
