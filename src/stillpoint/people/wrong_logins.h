// Wrong logins, counted by address: whoever guesses has to wait longer and
// longer. Internal; one at a time.
#pragma once

#include <chrono>
#include <cstddef>
#include <map>
#include <string>
#include <string_view>

namespace stillpoint::people {

class WrongLogins {
 public:
  using Time = std::chrono::nanoseconds;  // steady, from any begin

  static constexpr std::size_t kMostAddresses = 4096;

  struct Limits {
    // So many wrong ones in a row are nobody's business: people mistype.
    unsigned free = 4;
    Time first_wait = std::chrono::seconds{1};
    Time longest_wait = std::chrono::seconds{60};
    Time forgotten_after = std::chrono::minutes{10};
  };

  // With the limits of rovers, which come back by themselves.
  WrongLogins() = default;
  explicit WrongLogins(const Limits& limits) : limits_(limits) {}

  // Whether nobody may try a password from there now. `address` is numeric; an
  // IPv6 address stands for its /64, which one customer has to himself.
  [[nodiscard]] bool held(std::string_view address, Time now) const {
    return wait(address, now) > Time{0};
  }
  // For how long; 0 for not at all.
  [[nodiscard]] Time wait(std::string_view address, Time now) const;

  // The first beyond the free ones in a row is followed by the first wait, each
  // further one by twice the wait before it. Where the table is full, the
  // address that was quiet longest is forgotten.
  void wrong(std::string_view address, std::string_view user, Time now);

  // Ends the row, if all of it was under this name: a good account of one's own
  // must not help to guess another's password.
  void right(std::string_view address, std::string_view user);

  [[nodiscard]] std::size_t size() const { return rows_.size(); }

 private:
  struct Row {
    unsigned count = 0;
    Time last{0};
    std::string user;
    bool several_users = false;
  };

  [[nodiscard]] Time wait_after(unsigned count) const;

  Limits limits_;
  std::map<std::string, Row> rows_;
};

}  // namespace stillpoint::people
