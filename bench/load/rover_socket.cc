#include "load/rover_socket.h"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <openssl/err.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstring>
#include <ctime>

#include "load/stamp_frame.h"

namespace stillpoint::bench {
namespace {

constexpr std::size_t kRoom = std::size_t{64} * 1024;

// One thread works in this program: the room is shared.
std::array<std::uint8_t, kRoom> raw_room;
std::array<std::uint8_t, kRoom> opened_room;

SSL_CTX* client_context() {
  // Only speed is asked for here: whose certificate it is does not matter.
  static SSL_CTX* const context = [] {
    SSL_CTX* made = SSL_CTX_new(TLS_client_method());
    SSL_CTX_set_verify(made, SSL_VERIFY_NONE, nullptr);
    return made;
  }();
  return context;
}

void set_option(int fd, int level, int name, int value) {
  ::setsockopt(fd, level, name, &value, sizeof(value));
}

std::int64_t stamp_of(const msghdr& message) {
  for (const cmsghdr* part = CMSG_FIRSTHDR(&message); part != nullptr;
       part = CMSG_NXTHDR(const_cast<msghdr*>(&message),
                          const_cast<cmsghdr*>(part))) {
    if (part->cmsg_level == SOL_SOCKET && part->cmsg_type == SCM_TIMESTAMPNS) {
      timespec time{};
      std::memcpy(&time, CMSG_DATA(part), sizeof(time));
      return std::int64_t{time.tv_sec} * 1'000'000'000 + time.tv_nsec;
    }
  }
  return realtime_ns();
}

}  // namespace

void raise_descriptor_limit() {
  rlimit files{};
  ::getrlimit(RLIMIT_NOFILE, &files);
  const rlimit more{.rlim_cur = 100'000, .rlim_max = 100'000};
  if (files.rlim_max >= more.rlim_max ||
      ::setrlimit(RLIMIT_NOFILE, &more) != 0) {
    files.rlim_cur = files.rlim_max;
    ::setrlimit(RLIMIT_NOFILE, &files);
  }
}

RoverSocket::~RoverSocket() {
  close();
}

bool RoverSocket::open(const Origin& origin,
                       unsigned n,
                       std::uint16_t port,
                       bool tls,
                       int receive_buffer) {
  fd_ = ::socket(AF_INET, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0);
  if (fd_ < 0) {
    return false;
  }
  set_option(fd_, SOL_SOCKET, SO_TIMESTAMPNS, 1);
  set_option(fd_, IPPROTO_TCP, TCP_NODELAY, 1);
  set_option(fd_, IPPROTO_IP, IP_BIND_ADDRESS_NO_PORT, 1);
  if (receive_buffer > 0) {
    set_option(fd_, SOL_SOCKET, SO_RCVBUF, receive_buffer);
  }
  sockaddr_in from{};
  from.sin_family = AF_INET;
  from.sin_addr.s_addr =
      htonl(ntohl(::inet_addr(origin.first.c_str())) + n % origin.addresses);
  sockaddr_in to{};
  to.sin_family = AF_INET;
  to.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  to.sin_port = htons(port);
  if (::bind(fd_, reinterpret_cast<const sockaddr*>(&from), sizeof(from)) !=
          0 ||
      (::connect(fd_, reinterpret_cast<const sockaddr*>(&to), sizeof(to)) !=
           0 &&
       errno != EINPROGRESS)) {
    close();
    return false;
  }
  if (tls) {
    tls_.reset(SSL_new(client_context()));
    SSL_set_bio(tls_.get(), BIO_new(BIO_s_mem()), BIO_new(BIO_s_mem()));
    SSL_set_connect_state(tls_.get());
  }
  return true;
}

// Moves what is to be sent through TLS; false: it failed.
bool RoverSocket::drain_tls() {
  ERR_clear_error();
  if (SSL_is_init_finished(tls_.get()) == 0) {
    const int result = SSL_do_handshake(tls_.get());
    if (result != 1 &&
        SSL_get_error(tls_.get(), result) != SSL_ERROR_WANT_READ) {
      return false;
    }
  }
  if (SSL_is_init_finished(tls_.get()) == 1 && !out_.empty()) {
    std::size_t written = 0;
    SSL_write_ex(tls_.get(), out_.data(), out_.size(), &written);
    out_.erase(0, written);
  }
  char* data = nullptr;
  const long size = BIO_get_mem_data(SSL_get_wbio(tls_.get()), &data);
  sealed_.append(data, static_cast<std::size_t>(size));
  BIO_reset(SSL_get_wbio(tls_.get()));
  return true;
}

bool RoverSocket::push() {
  if (tls_ && !drain_tls()) {
    return false;
  }
  std::string& text = tls_ ? sealed_ : out_;
  if (text.empty()) {
    return true;
  }
  const ssize_t sent = ::send(fd_, text.data(), text.size(), MSG_NOSIGNAL);
  if (sent < 0) {
    return errno == EAGAIN || errno == ENOTCONN;
  }
  text.erase(0, static_cast<std::size_t>(sent));
  return true;
}

bool RoverSocket::has_more() const {
  return !sealed_.empty() || (!tls_ && !out_.empty());
}

Received RoverSocket::receive() {
  iovec part{raw_room.data(), raw_room.size()};
  alignas(cmsghdr) std::array<char, 128> control{};
  msghdr message{};
  message.msg_iov = &part;
  message.msg_iovlen = 1;
  message.msg_control = control.data();
  message.msg_controllen = control.size();
  const ssize_t got = ::recvmsg(fd_, &message, MSG_DONTWAIT);
  if (got <= 0) {
    return {.closed = got == 0 || errno != EAGAIN, .bytes = {}};
  }
  const ByteSpan raw = ByteSpan(raw_room).first(static_cast<std::size_t>(got));
  const std::int64_t when = stamp_of(message);
  if (!tls_) {
    return {.closed = false, .bytes = raw, .socket_ns = when};
  }
  BIO_write(SSL_get_rbio(tls_.get()), raw.data(), static_cast<int>(raw.size()));
  if (!push()) {
    return {.closed = true, .bytes = {}};
  }
  std::size_t opened = 0;
  while (opened < opened_room.size()) {
    std::size_t bytes = 0;
    ERR_clear_error();
    if (SSL_read_ex(tls_.get(),
                    opened_room.data() + opened,
                    opened_room.size() - opened,
                    &bytes) != 1) {
      break;
    }
    opened += bytes;
  }
  return {.closed = false,
          .bytes = ByteSpan(opened_room).first(opened),
          .socket_ns = when};
}

void RoverSocket::close() {
  if (fd_ >= 0) {
    ::close(fd_);
    fd_ = -1;
  }
  tls_.reset();
  out_.clear();
  sealed_.clear();
}

}  // namespace stillpoint::bench
