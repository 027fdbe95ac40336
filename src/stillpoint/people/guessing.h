// Guesses at what the console asks for: how long nobody may try again, from one
// address and from all of them. Internal; one at a time.
#pragma once

#include <chrono>
#include <cstddef>
#include <deque>
#include <string_view>

#include "stillpoint/people/wrong_logins.h"

namespace stillpoint::people {

class Guessing {
 public:
  using Time = WrongLogins::Time;  // steady, from any begin

  // A machine that guesses from one address gets 15 in the first hour and one
  // an hour after that.
  static constexpr WrongLogins::Limits kLimits{3,
                                               std::chrono::seconds{1},
                                               std::chrono::hours{1},
                                               std::chrono::hours{24}};
  static constexpr std::size_t kMostInAMinute = 20;

  // How long somebody without a session has to wait there; 0 for not at all.
  [[nodiscard]] Time wait(std::string_view address, Time now) const;
  // `name`: whose password was tried, empty for the claim code.
  void wrong(std::string_view address, std::string_view name, Time now);
  void right(std::string_view address, std::string_view name);

  // The same for somebody with a session, whom others do not slow: by the
  // address and by the person, wherever the session is used from.
  [[nodiscard]] Time wait_in_session(std::string_view address,
                                     std::string_view name,
                                     Time now) const;
  void wrong_in_session(std::string_view address,
                        std::string_view name,
                        Time now);
  void right_in_session(std::string_view address, std::string_view name);

 private:
  WrongLogins by_address_{kLimits};
  WrongLogins by_person_{kLimits};
  std::deque<Time>
      newest_;  // wrong ones from everywhere, kMostInAMinute at most
};

}  // namespace stillpoint::people
