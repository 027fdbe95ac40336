#include "stillpoint/people/door.h"

#include <algorithm>
#include <map>
#include <mutex>
#include <utility>

#include "stillpoint/people/attendance.h"
#include "stillpoint/people/right_passwords.h"
#include "stillpoint/people/wrong_logins.h"

namespace stillpoint::people {
namespace {

Decision refuse(Admission admission, const char* why) {
  return {admission, 0, why, std::nullopt};
}

Decision cannot_tell(const Error& error) {
  return {Admission::kTooMany, 0, "the login could not be checked", error};
}

Decision decision_of(const Attendance::Place& place) {
  switch (place.seat) {
    case Attendance::Seat::kMountFull:
      return refuse(Admission::kTooMany, "the mountpoint is full");
    case Attendance::Seat::kUserFull:
      return refuse(Admission::kTooMany,
                    "too many connections of this account");
    case Attendance::Seat::kBytesUsedUp:
      return refuse(Admission::kTooMany, "the account's hour is used up");
    case Attendance::Seat::kFree:
      break;
  }
  return {Admission::kAllowed, place.remaining_bytes, "", std::nullopt};
}

std::optional<std::uint64_t> limit_of(std::optional<std::int64_t> stored) {
  return stored ? std::optional(static_cast<std::uint64_t>(
                      std::max(*stored, std::int64_t{0})))
                : std::nullopt;
}

bool is_kind(const std::optional<User>& user, UserKind kind) {
  return user && user->kind == kind;
}

}  // namespace

class Door::Parts {
 public:
  // What the first stage found: an answer, or whose login it would be.
  struct Look {
    std::optional<Decision> decision;
    DoorMount mount;
    std::optional<User> user;
  };

  Parts(SecretKey key, UserLookup users, PasswordCheck check)
      : key_(std::move(key)),
        users_(std::move(users)),
        check_(std::move(check)) {}

  Look look(const Question& question, Time now);
  Decision hash(const Question& question, const Look& look, Time now);
  Decision let_in(const User* user, const DoorMount& mount, Time now);
  [[nodiscard]] Result<std::optional<User>> find(std::string_view name) const {
    return users_(name);
  }

  std::mutex mutex;
  std::map<std::string, DoorMount, std::less<>> mounts;  // mutex
  Attendance attendance;                                 // mutex

 private:
  const SecretKey key_;
  const UserLookup users_;
  const PasswordCheck check_;
  WrongLogins wrong_logins_;        // mutex
  RightPasswords right_passwords_;  // mutex, but for digest()
};

Decision Door::Parts::let_in(const User* user,
                             const DoorMount& mount,
                             Time now) {
  if (user != nullptr && !user->enabled) {
    return refuse(Admission::kForbidden, "the account is disabled");
  }
  Attendance::Guest guest;
  guest.mount = mount.name;
  if (mount.most > 0) {
    guest.most_at_mount = mount.most;
  }
  if (user != nullptr) {
    guest.user = user->name;
    guest.most_connections = limit_of(user->max_connections);
    guest.most_bytes_an_hour = limit_of(user->max_bytes_per_hour);
  }
  const std::lock_guard lock(mutex);
  return decision_of(attendance.admit(guest, now));
}

Door::Parts::Look Door::Parts::look(const Question& question, Time now) {
  Look look;
  {
    const std::lock_guard lock(mutex);
    const auto found = mounts.find(question.mount);
    if (found == mounts.end()) {
      look.decision = refuse(Admission::kForbidden, "no such mountpoint");
      return look;
    }
    look.mount = found->second;
  }
  if (look.mount.open) {
    look.decision = let_in(nullptr, look.mount, now);
    return look;
  }
  if (question.user.empty() && question.password.empty()) {
    look.decision = refuse(Admission::kWrongLogin, "no login came");
    return look;
  }
  Result<std::optional<User>> found = users_(question.user);
  if (!found) {
    look.decision = cannot_tell(found.error());
    return look;
  }
  look.user = std::move(*found);
  // Both hashes are made whoever it is, so that nobody can tell by the time.
  const std::string_view stored =
      look.user ? std::string_view(look.user->secret_hash) : "";
  const bool token_is_right =
      verify_stream_token(key_, stored, question.password);
  const Digest digest =
      right_passwords_.digest(question.user, stored, question.password);
  bool held = false, remembered = false;
  {
    const std::lock_guard lock(mutex);
    held = wrong_logins_.held(question.address, now);
    remembered = is_kind(look.user, UserKind::kPerson) &&
                 right_passwords_.holds(question.user, digest, now);
    if (remembered && !held) {
      wrong_logins_.right(question.address, question.user);
    }
  }
  // Nobody guesses 128 bits: a token need not wait for others' mistakes.
  const bool by_token = is_kind(look.user, UserKind::kStream) && token_is_right;
  if (held && !by_token) {
    look.decision =
        refuse(Admission::kTooMany, "too many wrong logins from this address");
  } else if (by_token || remembered) {
    look.decision = let_in(&*look.user, look.mount, now);
  }
  return look;
}

Decision Door::Parts::hash(const Question& question,
                           const Look& look,
                           Time now) {
  const bool person = is_kind(look.user, UserKind::kPerson);
  const std::string_view stored =
      person ? std::string_view(look.user->secret_hash) : decoy_hash();
  const Result<bool> right = check_(stored, question.password);
  if (!right) {
    return cannot_tell(right.error());
  }
  if (!person || !*right) {
    const std::lock_guard lock(mutex);
    wrong_logins_.wrong(question.address, question.user, now);
    return refuse(Admission::kWrongLogin, "no such account or wrong secret");
  }
  const Digest digest =
      right_passwords_.digest(question.user, stored, question.password);
  {
    const std::lock_guard lock(mutex);
    wrong_logins_.right(question.address, question.user);
    right_passwords_.remember(question.user, digest, now);
  }
  return let_in(&*look.user, look.mount, now);
}

Door::Door(SecretKey key,
           UserLookup users,
           const DoorConfig& config,
           PasswordCheck check)
    : parts_(std::make_unique<Parts>(
          std::move(key), std::move(users), std::move(check))) {
  set_config(config);
}

Door::~Door() = default;

void Door::set_config(const DoorConfig& config) {
  std::map<std::string, DoorMount, std::less<>> mounts;
  for (const DoorMount& mount : config.mounts) {
    mounts.emplace(mount.name, mount);
  }
  const std::lock_guard lock(parts_->mutex);
  parts_->mounts = std::move(mounts);
}

std::optional<Decision> Door::first(const Question& question, Time now) {
  return parts_->look(question, now).decision;
}

// Looks again: while the question waited for its turn, the same password may
// have been found right, or the address may have come to be held up.
Decision Door::finish(const Question& question, Time now) {
  const Parts::Look look = parts_->look(question, now);
  return look.decision ? *look.decision : parts_->hash(question, look, now);
}

void Door::came(SessionId session,
                std::string_view user,
                std::string_view mount) {
  const std::lock_guard lock(parts_->mutex);
  parts_->attendance.came(session, user, mount);
}

std::optional<std::uint64_t> Door::progress(SessionId session,
                                            std::uint64_t sent_bytes,
                                            Time now) {
  const std::lock_guard lock(parts_->mutex);
  return parts_->attendance.progress(session, sent_bytes, now);
}

void Door::renew() {
  std::vector<std::string> present;
  {
    const std::lock_guard lock(parts_->mutex);
    present = parts_->attendance.present();
  }
  for (const std::string& name : present) {
    const auto found = parts_->find(name);
    if (!found) {
      return;  // nobody can tell: who is in stays
    }
    const std::optional<User>& user = *found;
    const std::lock_guard lock(parts_->mutex);
    parts_->attendance.renew(
        name,
        user && user->enabled,
        user ? limit_of(user->max_bytes_per_hour) : std::nullopt);
  }
}

void Door::went(SessionId session, std::uint64_t sent_bytes, Time now) {
  const std::lock_guard lock(parts_->mutex);
  parts_->attendance.went(session, sent_bytes, now);
}

}  // namespace stillpoint::people
