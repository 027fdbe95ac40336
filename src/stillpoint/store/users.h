// Who may do what: people with a password, streams with a token. Secrets come
// as hashes of another module's making and are opaque here. Every change and
// its logbook entry are one transaction.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint {

class Database;

enum class UserKind : std::uint8_t {  // stored; never renumber
  kPerson = 1,                        // secret_hash is of a password
  kStream = 2,                        // secret_hash is of a stream's token
};

// What a person may do in the console; every role may do what those after it
// may.
enum class Role : std::uint8_t {  // stored; never renumber
  kOwner = 1,                     // everything, people included
  kHelper = 2,  // everything but people and what cannot be undone
  kGuest = 3,   // look
};
const char* role_name(Role role);  // "owner", "helper", "guest"

struct User {
  std::string name;  // one line of UTF-8, 1..64 bytes; capitals count
  UserKind kind = UserKind::kPerson;
  std::string secret_hash;  // one line, 1..512 bytes
  // Nothing: no limit.
  std::optional<std::int64_t> max_connections;
  std::optional<std::int64_t> max_bytes_per_hour;
  bool enabled = true;
  // Nothing: no access to the console, as for the accounts of rovers. Only a
  // person has one.
  std::optional<Role> role = std::nullopt;
  friend bool operator==(const User&, const User&) = default;
};

// Whether a text can be a user's name.
//
//   errors   kOutOfRange
Status check_user_name(std::string_view name);

// For the logbook: when, and on whose behalf ("console: ...", "command line").
struct ChangeNote {
  GnssTime at;
  std::string by;
};

// threads  as its Store
class Users {
 public:
  // For Store, which has the connection.
  explicit Users(Database& database) : database_(&database) {}

  //   errors   kUsage for a name that is taken; kOutOfRange for a name, hash,
  //            limit or role that cannot be; kIo
  Status add(const User& user, const ChangeNote& note);

  // Makes the user of that name what `user` says; the logbook names the fields
  // that became different. Where nothing did, nothing is written. With another
  // secret, without a role or disabled, the user's sessions in the console end.
  //
  //   errors   kNoData for a name that does not exist; kUsage where no enabled
  //            owner would be left; as add()
  Status change(const User& user, const ChangeNote& note);

  // The user's sessions in the console end with it.
  //
  //   errors   kNoData for a name that does not exist; kUsage for the last
  //            enabled owner; kIo
  Status remove(std::string_view name, const ChangeNote& note);

  [[nodiscard]] Result<std::optional<User>> find(std::string_view name) const;

  // By name.
  [[nodiscard]] Result<std::vector<User>> list() const;

  // Whether some enabled person is an owner.
  [[nodiscard]] Result<bool> has_owner() const;

 private:
  Database* database_;
};

}  // namespace stillpoint
