// Who is at the other end of a socket.
#pragma once

#include <array>
#include <compare>
#include <cstdint>
#include <string>

struct sockaddr_storage;

namespace stillpoint::ntrip {

struct PeerAddress {
  // IPv6, or IPv4 as ::ffff:a.b.c.d; all zero for a socket without address.
  std::array<std::uint8_t, 16> bytes{};

  static PeerAddress from(const sockaddr_storage& address);
  // Of a connected socket.
  static PeerAddress of_socket(int fd);

  // Numeric: "192.0.2.7", "2001:db8::7".
  [[nodiscard]] std::string text() const;
  // What one subscriber has: an IPv4 address, or a /64 of IPv6.
  [[nodiscard]] PeerAddress group() const;

  auto operator<=>(const PeerAddress&) const = default;
};

}  // namespace stillpoint::ntrip
