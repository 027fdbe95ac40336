// Passwords that were right, remembered for an hour, so that a rover that comes
// again costs no slow hash. What is kept is a keyed hash under a key that this
// process forgets with its end. Internal; one at a time.
#pragma once

#include <chrono>
#include <cstddef>
#include <map>
#include <string>
#include <string_view>

#include "stillpoint/people/keyed_hash.h"
#include "stillpoint/people/secrets.h"

namespace stillpoint::people {

class RightPasswords {
 public:
  using Time = std::chrono::nanoseconds;  // steady, from any begin

  static constexpr Time kKept = std::chrono::hours{1};
  static constexpr std::size_t kMost = 1000;

  // Of a user's name, the stored hash and a password: with a new password in
  // the database, the old one is no longer remembered.
  //   threads  any
  [[nodiscard]] Digest digest(std::string_view user,
                              std::string_view secret_hash,
                              std::string_view password) const;

  // Whether this was right within the last hour.
  [[nodiscard]] bool holds(std::string_view user,
                           const Digest& digest,
                           Time now) const;
  // In place of what was remembered of the user; where all places are taken,
  // the oldest goes.
  void remember(std::string_view user, const Digest& digest, Time now);

  [[nodiscard]] std::size_t size() const { return rows_.size(); }

 private:
  struct Row {
    Digest digest;
    Time since{0};
  };

  const SecretKey key_ = SecretKey::random();
  std::map<std::string, Row, std::less<>> rows_;
};

}  // namespace stillpoint::people
