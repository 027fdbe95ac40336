#include "load/receiver_stand_in.h"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <sys/socket.h>
#include <unistd.h>

#include <utility>

#include "load/stamp_frame.h"

namespace stillpoint::bench {

ReceiverStandIn::~ReceiverStandIn() {
  for (const int fd : {listener_, connection_}) {
    if (fd >= 0) {
      ::close(fd);
    }
  }
}

bool ReceiverStandIn::listen(std::uint16_t port) {
  listener_ = ::socket(AF_INET, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0);
  const int yes = 1;
  ::setsockopt(listener_, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof(yes));
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  address.sin_port = htons(port);
  return ::bind(listener_,
                reinterpret_cast<const sockaddr*>(&address),
                sizeof(address)) == 0 &&
         ::listen(listener_, 4) == 0;
}

void ReceiverStandIn::accept() {
  const int fd =
      ::accept4(listener_, nullptr, nullptr, SOCK_NONBLOCK | SOCK_CLOEXEC);
  if (fd < 0) {
    return;
  }
  const int yes = 1;
  ::setsockopt(fd, IPPROTO_TCP, TCP_NODELAY, &yes, sizeof(yes));
  if (const int old = std::exchange(connection_, fd); old >= 0) {
    ::close(old);
  }
  left_.clear();
}

void ReceiverStandIn::send_stamped(std::size_t bytes) {
  send(make_stamp_frame({next_, realtime_ns()}, bytes));
}

void ReceiverStandIn::send(std::string_view frame) {
  if (connected()) {
    left_ += frame;
    ++next_;
    flush();
  }
}

bool ReceiverStandIn::flush() {
  if (left_.empty() || !connected()) {
    return true;
  }
  const ssize_t sent =
      ::send(connection_, left_.data(), left_.size(), MSG_NOSIGNAL);
  if (sent > 0) {
    taken_bytes_ += static_cast<std::uint64_t>(sent);
    left_.erase(0, static_cast<std::size_t>(sent));
  }
  return left_.empty();
}

}  // namespace stillpoint::bench
