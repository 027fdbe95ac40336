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

struct User {
  std::string name;  // one line of UTF-8, 1..64 bytes; capitals count
  UserKind kind = UserKind::kPerson;
  std::string secret_hash;  // one line, 1..512 bytes
  // Nothing: no limit.
  std::optional<std::int64_t> max_connections;
  std::optional<std::int64_t> max_bytes_per_hour;
  bool enabled = true;
  friend bool operator==(const User&, const User&) = default;
};

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

  //   errors   kUsage for a name that is taken; kOutOfRange for a name, hash or
  //            limit that cannot be; kIo
  Status add(const User& user, const ChangeNote& note);

  // Makes the user of that name what `user` says; the logbook names the fields
  // that became different. Where nothing did, nothing is written.
  //
  //   errors   kNoData for a name that does not exist; as add()
  Status change(const User& user, const ChangeNote& note);

  //   errors   kNoData for a name that does not exist; kIo
  Status remove(std::string_view name, const ChangeNote& note);

  [[nodiscard]] Result<std::optional<User>> find(std::string_view name) const;

  // By name.
  [[nodiscard]] Result<std::vector<User>> list() const;

 private:
  Database* database_;
};

}  // namespace stillpoint
