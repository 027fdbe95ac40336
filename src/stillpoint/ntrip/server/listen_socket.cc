#include "stillpoint/ntrip/server/listen_socket.h"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <system_error>

#include "stillpoint/net/net_errors.h"

namespace stillpoint::ntrip {
namespace {

constexpr int kBacklog = 4096;

struct Place {
  sockaddr_storage address{};
  socklen_t size = 0;
};

bool read_address(const std::string& text, std::uint16_t port, Place& place) {
  sockaddr_in v4{};
  if (::inet_pton(AF_INET, text.c_str(), &v4.sin_addr) == 1) {
    v4.sin_family = AF_INET;
    v4.sin_port = htons(port);
    std::memcpy(&place.address, &v4, sizeof(v4));
    place.size = sizeof(v4);
    return true;
  }
  sockaddr_in6 v6{};
  if (::inet_pton(AF_INET6, text.c_str(), &v6.sin6_addr) == 1) {
    v6.sin6_family = AF_INET6;
    v6.sin6_port = htons(port);
    std::memcpy(&place.address, &v6, sizeof(v6));
    place.size = sizeof(v6);
    return true;
  }
  return false;
}

std::uint16_t port_of(int fd) {
  sockaddr_in6 address{};  // the port is at the same place for IPv4
  socklen_t size = sizeof(address);
  ::getsockname(fd, reinterpret_cast<sockaddr*>(&address), &size);
  return ntohs(address.sin6_port);
}

bool listen_on(int fd, const Place& place) {
  const int yes = 1;
  const int no = 0;
  ::setsockopt(fd, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof(yes));
  if (place.address.ss_family == AF_INET6) {
    ::setsockopt(fd, IPPROTO_IPV6, IPV6_V6ONLY, &no, sizeof(no));
  }
  return ::bind(fd,
                reinterpret_cast<const sockaddr*>(&place.address),
                place.size) == 0 &&
         ::listen(fd, kBacklog) == 0;
}

}  // namespace

Result<OpenedSocket> open_listen_socket(const std::string& address,
                                        std::uint16_t port) {
  const std::string where = net::place_name(address, port);
  Place place;
  if (!read_address(address, port, place)) {
    return fail(
        ErrorCode::kConfig, "not a numeric address to listen at", where);
  }
  const int fd = ::socket(
      place.address.ss_family, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0);
  if (fd < 0 || !listen_on(fd, place)) {
    const std::string why = std::generic_category().message(errno);
    if (fd >= 0) {
      ::close(fd);
    }
    return fail(ErrorCode::kIo,
                "cannot listen: " + why,
                where,
                "choose another address or port, or end the program that has "
                "this one");
  }
  return OpenedSocket{fd, port_of(fd)};
}

}  // namespace stillpoint::ntrip
