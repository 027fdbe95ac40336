#include "stillpoint/config/listen_address.h"

#include <arpa/inet.h>

#include <array>
#include <charconv>
#include <cstddef>
#include <utility>

namespace stillpoint::config {
namespace {

constexpr std::size_t kLongestHost = INET6_ADDRSTRLEN;
using Bytes4 = std::array<std::uint8_t, 4>;
using Bytes16 = std::array<std::uint8_t, 16>;

template <class Bytes>
std::optional<Bytes> bytes_of(const std::string& host) {
  constexpr int kFamily = sizeof(Bytes) == 4 ? AF_INET : AF_INET6;
  Bytes bytes{};
  if (inet_pton(kFamily, host.c_str(), bytes.data()) != 1) {
    return std::nullopt;
  }
  return bytes;
}

// One way of writing each, so that two texts of one address compare equal.
std::optional<std::string> usual_form(std::string_view host, bool brackets) {
  constexpr std::string_view kAllowed = "0123456789abcdefABCDEF:.";
  if (host.size() >= kLongestHost ||
      host.find_first_not_of(kAllowed) != std::string_view::npos) {
    return std::nullopt;
  }
  const std::string text(host);
  std::array<char, INET6_ADDRSTRLEN> form{};
  const char* done = nullptr;
  if (brackets) {
    if (const auto bytes = bytes_of<Bytes16>(text)) {
      done = inet_ntop(AF_INET6, bytes->data(), form.data(), form.size());
    }
  } else if (const auto bytes = bytes_of<Bytes4>(text)) {
    done = inet_ntop(AF_INET, bytes->data(), form.data(), form.size());
  }
  if (done == nullptr) {
    return std::nullopt;
  }
  return std::string(form.data());
}

bool is_private(const Bytes4& a) {
  return a[0] == 127 || a[0] == 10 || (a[0] == 172 && a[1] / 16 == 1) ||
         (a[0] == 192 && a[1] == 168) || (a[0] == 169 && a[1] == 254);
}

bool is_private(const Bytes16& a) {
  constexpr Bytes16 kLoopback = {
      0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 1};
  // ::ffff:a.b.c.d is the IPv4 address a.b.c.d (RFC 4291 section 2.5.5.2).
  bool mapped = a[10] == 0xFF && a[11] == 0xFF;
  for (std::size_t i = 0; i < 10; ++i) {
    mapped = mapped && a[i] == 0;
  }
  if (mapped) {
    return is_private(Bytes4{a[12], a[13], a[14], a[15]});
  }
  return a == kLoopback || a[0] / 2 == 0xFC / 2 ||
         (a[0] == 0xFE && a[1] / 64 == 0x80 / 64);
}

}  // namespace

std::string ListenAddress::text() const {
  const bool brackets = host.find(':') != std::string::npos;
  return (brackets ? "[" + host + "]" : host) + ":" + std::to_string(port);
}

std::optional<ListenAddress> parse_listen_address(std::string_view text) {
  const std::size_t colon = text.rfind(':');
  if (colon == std::string_view::npos) {
    return std::nullopt;
  }
  std::string_view host = text.substr(0, colon);
  const std::string_view port = text.substr(colon + 1);
  const bool brackets = host.starts_with('[') && host.ends_with(']');
  if (brackets) {
    host = host.substr(1, host.size() - 2);
  }
  ListenAddress address;
  const char* end = port.data() + port.size();
  const auto [stopped, problem] =
      std::from_chars(port.data(), end, address.port);
  auto form = usual_form(host, brackets);
  if (problem != std::errc{} || stopped != end || address.port == 0 || !form) {
    return std::nullopt;
  }
  address.host = std::move(*form);
  return address;
}

bool stays_private(const ListenAddress& address) {
  if (const auto four = bytes_of<Bytes4>(address.host)) {
    return is_private(*four);
  }
  const auto sixteen = bytes_of<Bytes16>(address.host);
  return sixteen && is_private(*sixteen);
}

}  // namespace stillpoint::config
