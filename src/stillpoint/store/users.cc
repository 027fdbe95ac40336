#include "stillpoint/store/users.h"

#include <utility>

#include "stillpoint/store/database.h"
#include "stillpoint/store/logbook.h"
#include "stillpoint/store/plain_text.h"
#include "stillpoint/store/user_rows.h"

namespace stillpoint {
namespace {

constexpr const char* kWriting = "write the list of users";
constexpr const char* kReading = "read the list of users";
constexpr std::size_t kMostNameBytes = 64;
constexpr std::size_t kMostHashBytes = 512;

constexpr Sql kInsert =
    "INSERT INTO users (name, kind, secret_hash, max_connections,"
    " max_bytes_per_hour, enabled, role)"
    " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)";
constexpr Sql kUpdate =
    "UPDATE users SET kind = ?2, secret_hash = ?3, max_connections = ?4,"
    " max_bytes_per_hour = ?5, enabled = ?6, role = ?7 WHERE name = ?1";
constexpr Sql kDelete = "DELETE FROM users WHERE name = ?1";
constexpr Sql kFind =
    "SELECT name, kind, secret_hash, max_connections, max_bytes_per_hour,"
    " enabled, role FROM users WHERE name = ?1";
constexpr Sql kList =
    "SELECT name, kind, secret_hash, max_connections, max_bytes_per_hour,"
    " enabled, role FROM users ORDER BY name";
constexpr Sql kCountOwners =
    "SELECT count(*) FROM users WHERE role = 1 AND kind = 1 AND enabled = 1";
constexpr Sql kEndSessions = "DELETE FROM console_sessions WHERE user = ?1";

tl::unexpected<Error> out_of_range(const std::string& what) {
  return fail(ErrorCode::kOutOfRange, what);
}

Status check(const User& user) {
  Status named = check_user_name(user.name);
  if (!named) {
    return named;
  }
  // The hash itself is never repeated in words.
  if (!is_plain_name(user.secret_hash, kMostHashBytes)) {
    return out_of_range("the hash for user '" + user.name +
                        "' is no line of 1 to 512 bytes");
  }
  if (user.max_connections.value_or(0) < 0 ||
      user.max_bytes_per_hour.value_or(0) < 0) {
    return out_of_range("a limit of user '" + user.name + "' is negative");
  }
  if (user.role && user.kind != UserKind::kPerson) {
    return out_of_range("user '" + user.name +
                        "' is a stream, and only a person has a role");
  }
  return ok();
}

std::optional<std::int64_t> number_of(std::optional<Role> role) {
  return role ? std::optional(static_cast<std::int64_t>(*role)) : std::nullopt;
}

std::optional<Role> role_of(std::optional<std::int64_t> number) {
  // The table's own check allows no other numbers.
  return number ? std::optional(static_cast<Role>(*number)) : std::nullopt;
}

User user_of(const Query& row) {
  return {row.text(0),
          // The table's own check allows these two only.
          row.integer(1) == 1 ? UserKind::kPerson : UserKind::kStream,
          row.text(2),
          row.maybe_integer(3),
          row.maybe_integer(4),
          row.integer(5) != 0,
          role_of(row.maybe_integer(6))};
}

Status write(Database& database, Sql statement, const User& user) {
  Result<Query> query = database.query(statement, kWriting);
  if (!query) {
    return fail(std::move(query.error()));
  }
  return query->bind(1, std::string_view(user.name))
      .bind(2, static_cast<std::int64_t>(user.kind))
      .bind(3, std::string_view(user.secret_hash))
      .bind(4, user.max_connections)
      .bind(5, user.max_bytes_per_hour)
      .bind(6, static_cast<std::int64_t>(user.enabled ? 1 : 0))
      .bind(7, number_of(user.role))
      .finish();
}

// "password, limits": which fields differ, never what a secret is.
std::string differences(const User& before, const User& after) {
  std::string fields;
  const auto name = [&fields](bool differs, const char* field) {
    if (differs) {
      fields += fields.empty() ? "" : ", ";
      fields += field;
    }
  };
  name(before.kind != after.kind, "kind");
  name(before.secret_hash != after.secret_hash, "secret");
  name(before.max_connections != after.max_connections, "max_connections");
  name(before.max_bytes_per_hour != after.max_bytes_per_hour,
       "max_bytes_per_hour");
  name(before.enabled != after.enabled, "enabled");
  name(before.role != after.role, "role");
  return fields;
}

struct Change {
  const char* what;          // "added", "changed", "removed"
  std::string fields;        // for "changed"
  std::optional<Role> role;  // that the user has now, for "added" and "changed"
};

Status enter(Database& database,
             const std::string& user,
             const Change& change,
             const ChangeNote& note) {
  LogEntry entry{
      note.at,
      LogKind::kUserChanged,
      "user " + user + " " + change.what,
      {{"change", std::string(change.what)}, {"user", user}, {"by", note.by}}};
  if (!change.fields.empty()) {
    entry.text += ": " + change.fields;
    entry.details.push_back({"fields", change.fields});
  }
  if (change.role) {
    entry.details.push_back({"role", std::string(role_name(*change.role))});
  }
  const Result<std::int64_t> written = Logbook(database).append(entry);
  if (!written) {
    return fail(written.error());
  }
  return ok();
}

tl::unexpected<Error> no_such_user(const Database& database,
                                   std::string_view name) {
  return fail(ErrorCode::kNoData,
              "there is no user '" + plain_line(name, kMostNameBytes) + "'",
              database.path(),
              "look at the list of users for the right spelling");
}

bool is_owner(const User& user) {
  return user.role == Role::kOwner && user.enabled &&
         user.kind == UserKind::kPerson;
}

// After a change to what was an enabled owner.
Status check_owner_is_left(Database& database, std::string_view name) {
  const Result<std::int64_t> owners = database.number(kCountOwners, kReading);
  if (!owners) {
    return fail(owners.error());
  }
  if (*owners == 0) {
    return fail(ErrorCode::kUsage,
                "user '" + plain_line(name, kMostNameBytes) +
                    "' is the last enabled owner of the station",
                database.path(),
                "give another person the role of owner first");
  }
  return ok();
}

Status end_sessions(Database& database, std::string_view name) {
  Result<Query> query = database.query(kEndSessions, kWriting);
  if (!query) {
    return fail(std::move(query.error()));
  }
  return query->bind(1, name).finish();
}

Status remove_user(Database& database,
                   std::string_view name,
                   const ChangeNote& note) {
  const Result<std::optional<User>> before = Users(database).find(name);
  if (!before) {
    return fail(before.error());
  }
  if (!*before) {
    return no_such_user(database, name);
  }
  Result<Query> query = database.query(kDelete, kWriting);
  if (!query) {
    return fail(std::move(query.error()));
  }
  Status done = query->bind(1, name).finish();
  if (done && is_owner(**before)) {
    done = check_owner_is_left(database, name);
  }
  return done ? enter(database, std::string(name), {"removed", {}, {}}, note)
              : done;
}

// What `change` does, in a transaction of its own.
template <class F>
Status in_transaction(Database& database, const F& change) {
  Result<Transaction> transaction = Transaction::begin(database, kWriting);
  if (!transaction) {
    return fail(std::move(transaction.error()));
  }
  Status done = change();
  return done ? transaction->commit() : done;
}

}  // namespace

const char* role_name(Role role) {
  switch (role) {
    case Role::kOwner:
      return "owner";
    case Role::kHelper:
      return "helper";
    case Role::kGuest:
      return "guest";
  }
  return "unknown";
}

Status check_user_name(std::string_view name) {
  if (!is_plain_name(name, kMostNameBytes)) {
    return out_of_range(
        "the name of a user is one line of 1 to 64 bytes without control "
        "characters");
  }
  return ok();
}

Status add_user(Database& database, const User& user, const ChangeNote& note) {
  Status valid = check(user);
  if (!valid) {
    return valid;
  }
  const Result<std::optional<User>> taken = Users(database).find(user.name);
  if (!taken) {
    return fail(taken.error());
  }
  if (*taken) {
    return fail(ErrorCode::kUsage,
                "there is a user '" + user.name + "' already",
                database.path(),
                "choose another name, or change that user");
  }
  return write(database, kInsert, user).and_then([&](auto) {
    return enter(database, user.name, {"added", {}, user.role}, note);
  });
}

Status change_user(Database& database,
                   const User& user,
                   SameSecret same_secret,
                   const ChangeNote& note) {
  Status valid = check(user);
  if (!valid) {
    return valid;
  }
  const Result<std::optional<User>> before = Users(database).find(user.name);
  if (!before) {
    return fail(before.error());
  }
  if (!*before) {
    return no_such_user(database, user.name);
  }
  const std::string fields = differences(**before, user);
  if (fields.empty()) {
    return ok();
  }
  Status done = write(database, kUpdate, user);
  if (done && is_owner(**before) && !is_owner(user)) {
    done = check_owner_is_left(database, user.name);
  }
  const bool other_secret = same_secret == SameSecret::kNo &&
                            (*before)->secret_hash != user.secret_hash;
  if (done && (other_secret || !user.enabled || !user.role)) {
    done = end_sessions(database, user.name);
  }
  return done ? enter(database, user.name, {"changed", fields, user.role}, note)
              : done;
}

Status Users::add(const User& user, const ChangeNote& note) {
  return in_transaction(*database_,
                        [&] { return add_user(*database_, user, note); });
}

Status Users::change(const User& user, const ChangeNote& note) {
  return in_transaction(*database_, [&] {
    return change_user(*database_, user, SameSecret::kNo, note);
  });
}

Status Users::remove(std::string_view name, const ChangeNote& note) {
  return in_transaction(*database_,
                        [&] { return remove_user(*database_, name, note); });
}

Result<bool> Users::has_owner() const {
  const Result<std::int64_t> owners = database_->number(kCountOwners, kReading);
  if (!owners) {
    return fail(owners.error());
  }
  return *owners > 0;
}

Result<std::optional<User>> Users::find(std::string_view name) const {
  Result<Query> query = database_->query(kFind, kReading);
  if (!query) {
    return fail(std::move(query.error()));
  }
  const Result<bool> row = query->bind(1, name).next();
  if (!row) {
    return fail(row.error());
  }
  return *row ? std::optional(user_of(*query)) : std::nullopt;
}

Result<std::vector<User>> Users::list() const {
  Result<Query> query = database_->query(kList, kReading);
  if (!query) {
    return fail(std::move(query.error()));
  }
  std::vector<User> users;
  for (;;) {
    const Result<bool> row = query->next();
    if (!row) {
      return fail(row.error());
    }
    if (!*row) {
      return users;
    }
    users.push_back(user_of(*query));
  }
}

}  // namespace stillpoint
