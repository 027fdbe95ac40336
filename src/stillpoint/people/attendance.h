// Who is here, on which mountpoint, and how many bytes went to whom in the last
// hour. Internal; one at a time.
#pragma once

#include <chrono>
#include <cstddef>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <utility>
#include <vector>

namespace stillpoint::people {

// Bytes of the last hour, from two numbers: all of this clock hour, and of the
// one before the share that the last sixty minutes still cover, as if it had
// come evenly.
class HourBytes {
 public:
  using Time = std::chrono::nanoseconds;  // steady, from any begin

  void add(std::uint64_t bytes, Time now);
  [[nodiscard]] std::uint64_t used(Time now) const;

 private:
  std::int64_t hour_ = 0;
  std::uint64_t this_hour_ = 0, hour_before_ = 0;
};

class Attendance {
 public:
  using Time = std::chrono::nanoseconds;
  using SessionId = std::uint64_t;

  // Whose session it will be, and under which limits (nothing: none).
  struct Guest {
    std::string_view user;  // empty: nobody's, on an open mountpoint
    std::string_view mount;
    std::optional<std::uint64_t> most_at_mount, most_connections,
        most_bytes_an_hour;
  };
  enum class Seat : std::uint8_t { kFree, kMountFull, kUserFull, kBytesUsedUp };
  struct Place {
    Seat seat = Seat::kFree;
    std::uint64_t remaining_bytes = 0;  // this hour; 0: no limit
  };

  // kFree keeps a place, which counts until the session that takes it with
  // came() has gone.
  Place admit(const Guest& guest, Time now);
  void came(SessionId session, std::string_view user, std::string_view mount);
  // `sent_bytes` is all of the session so far.
  //
  //   returns  what it may have had in all by the account's limit; nothing
  //            where there is none
  std::optional<std::uint64_t> progress(SessionId session,
                                        std::uint64_t sent_bytes,
                                        Time now);
  void went(SessionId session, std::uint64_t sent_bytes, Time now);

  // The accounts that are here, and what became of one of them since: its
  // limit, or that it may not be here any more.
  [[nodiscard]] std::vector<std::string> present() const;
  void renew(const std::string& user,
             bool welcome,
             std::optional<std::uint64_t> most_bytes_an_hour);

  // Accounts of which anything is kept.
  [[nodiscard]] std::size_t accounts() const { return accounts_.size(); }

 private:
  struct Account {
    std::size_t connections = 0;
    HourBytes bytes;
    std::optional<std::uint64_t> most_bytes_an_hour;
    bool welcome = true;
  };
  struct Session {
    std::string user, mount;
    std::uint64_t sent_bytes = 0;
  };
  using Key = std::pair<std::string, std::string>;  // user, mount

  bool take_kept_place(const Key& key);
  void sweep(Time now);

  std::map<std::string, Account> accounts_;
  std::map<std::string, std::size_t> at_mount_;
  std::map<Key, std::size_t> kept_places_;
  std::unordered_map<SessionId, Session> sessions_;
  Time swept_{0};
};

}  // namespace stillpoint::people
