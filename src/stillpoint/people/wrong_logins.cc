#include "stillpoint/people/wrong_logins.h"

#include <arpa/inet.h>

#include <algorithm>
#include <array>
#include <cstdint>

namespace stillpoint::people {
namespace {

constexpr std::size_t kIpv6Bytes = 16;
constexpr std::size_t kNetworkBytes = 8;  // of a /64
// No name of an account is longer; strangers may send more.
constexpr std::size_t kMostNameBytes = 64;

using Ipv6 = std::array<std::uint8_t, kIpv6Bytes>;

// IPv4 in IPv6's clothes, ::ffff:0:0/96 (RFC 4291 section 2.5.5.2).
bool is_mapped(const Ipv6& address) {
  const auto is_zero = [](std::uint8_t byte) { return byte == 0; };
  return std::all_of(address.begin(), address.begin() + 10, is_zero) &&
         address[10] == 0xFF && address[11] == 0xFF;
}

std::string group_of(std::string_view address) {
  std::string text(address.substr(0, INET6_ADDRSTRLEN));
  Ipv6 bytes{};
  if (::inet_pton(AF_INET6, text.c_str(), bytes.data()) != 1 ||
      is_mapped(bytes)) {
    return text;
  }
  return {bytes.begin(), bytes.begin() + kNetworkBytes};
}

}  // namespace

WrongLogins::Time WrongLogins::wait_after(unsigned count) const {
  if (count <= limits_.free) {
    return Time{0};
  }
  Time wait = limits_.first_wait;
  for (unsigned i = limits_.free + 1; i < count && wait < limits_.longest_wait;
       ++i) {
    wait *= 2;
  }
  return std::min(wait, limits_.longest_wait);
}

WrongLogins::Time WrongLogins::wait(std::string_view address, Time now) const {
  const auto found = rows_.find(group_of(address));
  if (found == rows_.end()) {
    return Time{0};
  }
  const Time until = found->second.last + wait_after(found->second.count);
  return std::max(until - now, Time{0});
}

void WrongLogins::wrong(std::string_view address,
                        std::string_view user,
                        Time now) {
  const std::string group = group_of(address);
  if (rows_.size() >= kMostAddresses && !rows_.contains(group)) {
    rows_.erase(std::min_element(
        rows_.begin(), rows_.end(), [](const auto& a, const auto& b) {
          return a.second.last < b.second.last;
        }));
  }
  Row& row = rows_[group];
  if (row.count > 0 && now >= row.last + limits_.forgotten_after) {
    row = Row{};
  }
  const std::string_view name = user.substr(0, kMostNameBytes);
  if (row.count == 0) {
    row.user = name;
  }
  row.several_users = row.several_users || row.user != name;
  row.last = now;
  ++row.count;
}

void WrongLogins::right(std::string_view address, std::string_view user) {
  const auto found = rows_.find(group_of(address));
  if (found != rows_.end() && !found->second.several_users &&
      found->second.user == user) {
    rows_.erase(found);
  }
}

}  // namespace stillpoint::people
