#include "stillpoint/ntrip/server/wire.h"

#include <openssl/err.h>
#include <sys/socket.h>
#include <sys/uio.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>

namespace stillpoint::ntrip {
namespace {

IoResult outcome_of(int number) {
  switch (number) {
    case EAGAIN:
    case EINTR:
    case ENOBUFS:
      return {Io::kBlocked, 0};
    case ECONNRESET:
    case EPIPE:
      return {Io::kClosed, 0};
    case ETIMEDOUT:
      return {Io::kTimeout, 0};
    default:
      return {Io::kError, 0};
  }
}

IoResult outcome_of_call(ssize_t result) {
  return result > 0    ? IoResult{Io::kDone, static_cast<std::size_t>(result)}
         : result == 0 ? IoResult{Io::kClosed, 0}
                       : outcome_of(errno);
}

}  // namespace

Wire::~Wire() {
  close(false);
}

IoResult Wire::tls_outcome(int result) const {
  switch (SSL_get_error(tls_.get(), result)) {
    case SSL_ERROR_WANT_READ:
    case SSL_ERROR_WANT_WRITE:
      return {Io::kBlocked, 0};
    case SSL_ERROR_ZERO_RETURN:
      return {Io::kClosed, 0};
    case SSL_ERROR_SYSCALL:
      return errno == 0 ? IoResult{Io::kClosed, 0} : outcome_of(errno);
    default:
      return {Io::kError, 0};
  }
}

IoResult Wire::handshake() {
  if (!tls_) {
    return {Io::kDone, 0};
  }
  ERR_clear_error();
  errno = 0;
  const int result = SSL_do_handshake(tls_.get());
  return result == 1 ? IoResult{Io::kDone, 0} : tls_outcome(result);
}

IoResult Wire::send(std::span<const std::string_view> pieces) {
  if (tls_) {
    IoResult all{Io::kBlocked, 0};
    for (const std::string_view piece : pieces) {
      std::size_t written = 0;
      ERR_clear_error();
      errno = 0;
      const int result =
          SSL_write_ex(tls_.get(), piece.data(), piece.size(), &written);
      if (result != 1) {
        return all.bytes > 0 ? all : tls_outcome(result);
      }
      all = {Io::kDone, all.bytes + written};
      if (written < piece.size()) {
        break;
      }
    }
    return all;
  }
  if (pieces.size() == 1) {
    return outcome_of_call(::send(
        fd_, pieces[0].data(), pieces[0].size(), MSG_DONTWAIT | MSG_NOSIGNAL));
  }
  std::array<iovec, kMostPieces> parts{};
  const std::size_t count = std::min(pieces.size(), parts.size());
  for (std::size_t i = 0; i < count; ++i) {
    // The system only reads what is sent.
    parts[i] = {const_cast<char*>(pieces[i].data()), pieces[i].size()};
  }
  msghdr message{};
  message.msg_iov = parts.data();
  message.msg_iovlen = count;
  return outcome_of_call(::sendmsg(fd_, &message, MSG_DONTWAIT | MSG_NOSIGNAL));
}

IoResult Wire::receive(std::span<std::uint8_t> room) {
  if (tls_) {
    std::size_t got = 0;
    ERR_clear_error();
    errno = 0;
    const int result = SSL_read_ex(tls_.get(), room.data(), room.size(), &got);
    return result == 1 ? IoResult{Io::kDone, got} : tls_outcome(result);
  }
  return outcome_of_call(::recv(fd_, room.data(), room.size(), MSG_DONTWAIT));
}

bool Wire::holds_bytes() const {
  return tls_ && SSL_pending(tls_.get()) > 0;
}

bool Wire::wants_room() const {
  return tls_ && SSL_want_write(tls_.get());
}

void Wire::finish() {
  if (tls_ && SSL_is_init_finished(tls_.get()) == 1) {
    ERR_clear_error();
    SSL_shutdown(tls_.get());
  }
  ::shutdown(fd_, SHUT_WR);
}

Io Wire::trouble() const {
  int number = 0;
  socklen_t size = sizeof(number);
  ::getsockopt(fd_, SOL_SOCKET, SO_ERROR, &number, &size);
  return outcome_of(number).what;
}

void Wire::close(bool reset) {
  if (fd_ < 0) {
    return;
  }
  if (reset) {
    const linger forget{.l_onoff = 1, .l_linger = 0};
    ::setsockopt(fd_, SOL_SOCKET, SO_LINGER, &forget, sizeof(forget));
  }
  ::close(fd_);
  fd_ = -1;
}

}  // namespace stillpoint::ntrip
