// Where a port is opened: "127.0.0.1:2101", "[::1]:8080". Addresses stand in
// numbers, so that what is opened does not depend on a name server.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace stillpoint::config {

struct ListenAddress {
  std::string host;  // in numbers, the usual short form, without brackets
  std::uint16_t port = 0;
  // As it is written in the file.
  [[nodiscard]] std::string text() const;
  friend bool operator==(const ListenAddress&, const ListenAddress&) = default;
};

// Nothing for a name, a missing port or port 0, an IPv6 address without
// brackets or with a zone.
std::optional<ListenAddress> parse_listen_address(std::string_view text);

// Whether only this computer or its own network reaches the address. 0.0.0.0
// and [::] stand for every address, and so for public ones.
//
//   source   RFC 1122 section 3.2.1.3 (127/8), RFC 1918 section 3 (10/8,
//            172.16/12, 192.168/16), RFC 3927 (169.254/16), RFC 4291 (::1,
//            fe80::/10), RFC 4193 (fc00::/7); from memory
bool stays_private(const ListenAddress& address);

}  // namespace stillpoint::config
