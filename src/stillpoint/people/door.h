// The caster's door: may this one have that stream? It knows users, limits and
// mountpoints, and nothing of sockets: the station asks it for the caster.
//
// Two stages, so that a slow password hash never holds up anybody else: first()
// answers at once for open mountpoints, right tokens, remembered passwords and
// everything that is refused without looking at a password; where it gives
// nothing, finish() does the hash, on a thread that may be slow. Whatever is
// wrong about a login (no such user, wrong password, wrong token) takes the
// same way and the same number of hashes.
#pragma once

#include <chrono>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/people/secrets.h"
#include "stillpoint/store/users.h"

namespace stillpoint::people {

struct DoorMount {
  std::string name;
  bool open = false;     // anyone may have it; no login is looked at
  std::size_t most = 0;  // sessions at a time; 0: no limit
};

struct DoorConfig {
  std::vector<DoorMount> mounts;
};

struct Question {
  std::string_view mount;
  std::string_view user, password;  // both empty: no login came
  std::string_view address;         // numeric, without port
};

enum class Admission : std::uint8_t {
  kAllowed,
  kWrongLogin,  // no such user and wrong secret alike, or no login came
  kForbidden,   // the login was right, or the mountpoint does not exist
  kTooMany,     // not now
};

struct Decision {
  Admission admission = Admission::kForbidden;
  // What the session may be sent, this hour; 0: no limit.
  std::uint64_t remaining_bytes = 0;
  const char* why = "";        // for the log, never for the rover
  std::optional<Error> error;  // where the list of users cannot be asked
};

// Users::find() of a store, for one. Called from every thread that asks, at the
// same time.
using UserLookup =
    std::function<Result<std::optional<User>>(std::string_view name)>;
// verify_password(), but for tests.
using PasswordCheck =
    std::function<Result<bool>(std::string_view hash, std::string_view)>;

//   threads  any, at the same time; its lock is a leaf, not held over the
//            lookup of users or a slow hash
class Door {
 public:
  using Time = std::chrono::nanoseconds;  // steady, from any begin
  using SessionId = std::uint64_t;

  //   key    under which the tokens of streams were hashed
  Door(SecretKey key,
       UserLookup users,
       const DoorConfig& config,
       PasswordCheck check = verify_password);
  Door(const Door&) = delete;
  Door& operator=(const Door&) = delete;
  Door(Door&&) = delete;
  Door& operator=(Door&&) = delete;
  ~Door();

  // Takes effect for the next question; who is in stays.
  void set_config(const DoorConfig& config);

  // Every kAllowed keeps a place: one came() and one went() must follow.
  //
  //   returns  nothing where finish() has to answer
  [[nodiscard]] std::optional<Decision> first(const Question& question,
                                              Time now);
  // The answer in any case. Takes the time and memory of verify_password().
  [[nodiscard]] Decision finish(const Question& question, Time now);

  // `user` and `mount` as in the question.
  void came(SessionId session, std::string_view user, std::string_view mount);
  // `sent_bytes` is all of the session so far.
  //
  //   returns  what it may have had in all before it is cut; nothing where its
  //            account has no limit
  std::optional<std::uint64_t> progress(SessionId session,
                                        std::uint64_t sent_bytes,
                                        Time now);
  // Looks up the accounts that are here: who was removed or disabled may have
  // no more, and limits are as they are now. From time to time.
  void renew();
  void went(SessionId session, std::uint64_t sent_bytes, Time now);

 private:
  class Parts;
  std::unique_ptr<Parts> parts_;
};

}  // namespace stillpoint::people
