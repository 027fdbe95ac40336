#include "stillpoint/ntrip/server/peer_address.h"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <sys/socket.h>

#include <algorithm>
#include <cstring>

namespace stillpoint::ntrip {
namespace {

constexpr std::array<std::uint8_t, 12> kMapped{
    0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0xFF, 0xFF};

bool is_v4(const PeerAddress& address) {
  return std::equal(kMapped.begin(), kMapped.end(), address.bytes.begin());
}

}  // namespace

PeerAddress PeerAddress::from(const sockaddr_storage& address) {
  PeerAddress peer;
  if (address.ss_family == AF_INET) {
    sockaddr_in v4{};
    std::memcpy(&v4, &address, sizeof(v4));
    std::copy(kMapped.begin(), kMapped.end(), peer.bytes.begin());
    std::memcpy(peer.bytes.data() + kMapped.size(), &v4.sin_addr, 4);
  } else if (address.ss_family == AF_INET6) {
    sockaddr_in6 v6{};
    std::memcpy(&v6, &address, sizeof(v6));
    std::memcpy(peer.bytes.data(), &v6.sin6_addr, 16);
  }
  return peer;
}

PeerAddress PeerAddress::of_socket(int fd) {
  sockaddr_storage address{};
  socklen_t size = sizeof(address);
  if (::getpeername(fd, reinterpret_cast<sockaddr*>(&address), &size) != 0) {
    return {};
  }
  return from(address);
}

std::string PeerAddress::text() const {
  std::array<char, INET6_ADDRSTRLEN> text{};
  const bool v4 = is_v4(*this);
  const char* written = ::inet_ntop(v4 ? AF_INET : AF_INET6,
                                    bytes.data() + (v4 ? kMapped.size() : 0),
                                    text.data(),
                                    static_cast<socklen_t>(text.size()));
  return written != nullptr ? written : "";
}

PeerAddress PeerAddress::group() const {
  PeerAddress group = *this;
  if (!is_v4(*this)) {
    std::fill(group.bytes.begin() + 8, group.bytes.end(), std::uint8_t{0});
  }
  return group;
}

}  // namespace stillpoint::ntrip
