#include "stillpoint/store/users.h"

#include <utility>

#include "stillpoint/store/database.h"
#include "stillpoint/store/logbook.h"
#include "stillpoint/store/plain_text.h"

namespace stillpoint {
namespace {

constexpr const char* kWriting = "write the list of users";
constexpr const char* kReading = "read the list of users";
constexpr std::size_t kMostNameBytes = 64;
constexpr std::size_t kMostHashBytes = 512;

constexpr Sql kInsert =
    "INSERT INTO users (name, kind, secret_hash, max_connections,"
    " max_bytes_per_hour, enabled) VALUES (?1, ?2, ?3, ?4, ?5, ?6)";
constexpr Sql kUpdate =
    "UPDATE users SET kind = ?2, secret_hash = ?3, max_connections = ?4,"
    " max_bytes_per_hour = ?5, enabled = ?6 WHERE name = ?1";
constexpr Sql kDelete = "DELETE FROM users WHERE name = ?1";
constexpr Sql kFind =
    "SELECT name, kind, secret_hash, max_connections, max_bytes_per_hour,"
    " enabled FROM users WHERE name = ?1";
constexpr Sql kList =
    "SELECT name, kind, secret_hash, max_connections, max_bytes_per_hour,"
    " enabled FROM users ORDER BY name";

tl::unexpected<Error> out_of_range(const std::string& what) {
  return fail(ErrorCode::kOutOfRange, what);
}

Status check(const User& user) {
  if (!is_plain_name(user.name, kMostNameBytes)) {
    return out_of_range(
        "the name of a user is one line of 1 to 64 bytes without control "
        "characters");
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
  return ok();
}

User user_of(const Query& row) {
  return {row.text(0),
          // The table's own check allows these two only.
          row.integer(1) == 1 ? UserKind::kPerson : UserKind::kStream,
          row.text(2),
          row.maybe_integer(3),
          row.maybe_integer(4),
          row.integer(5) != 0};
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
  return fields;
}

struct Change {
  const char* what;    // "added", "changed", "removed"
  std::string fields;  // for "changed"
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

}  // namespace

Status Users::add(const User& user, const ChangeNote& note) {
  Status valid = check(user);
  if (!valid) {
    return valid;
  }
  Result<Transaction> transaction = Transaction::begin(*database_, kWriting);
  if (!transaction) {
    return fail(std::move(transaction.error()));
  }
  const Result<std::optional<User>> taken = find(user.name);
  if (!taken) {
    return fail(taken.error());
  }
  if (*taken) {
    return fail(ErrorCode::kUsage,
                "there is a user '" + user.name + "' already",
                database_->path(),
                "choose another name, or change that user");
  }
  Status done = write(*database_, kInsert, user).and_then([&](auto) {
    return enter(*database_, user.name, {"added", {}}, note);
  });
  return done ? transaction->commit() : done;
}

Status Users::change(const User& user, const ChangeNote& note) {
  Status valid = check(user);
  if (!valid) {
    return valid;
  }
  Result<Transaction> transaction = Transaction::begin(*database_, kWriting);
  if (!transaction) {
    return fail(std::move(transaction.error()));
  }
  const Result<std::optional<User>> before = find(user.name);
  if (!before) {
    return fail(before.error());
  }
  if (!*before) {
    return no_such_user(*database_, user.name);
  }
  const std::string fields = differences(**before, user);
  if (fields.empty()) {
    return ok();
  }
  Status done = write(*database_, kUpdate, user).and_then([&](auto) {
    return enter(*database_, user.name, {"changed", fields}, note);
  });
  return done ? transaction->commit() : done;
}

Status Users::remove(std::string_view name, const ChangeNote& note) {
  Result<Transaction> transaction = Transaction::begin(*database_, kWriting);
  if (!transaction) {
    return fail(std::move(transaction.error()));
  }
  Result<Query> query = database_->query(kDelete, kWriting);
  if (!query) {
    return fail(std::move(query.error()));
  }
  Status done = query->bind(1, name).finish();
  if (!done) {
    return done;
  }
  if (database_->changed_rows() == 0) {
    return no_such_user(*database_, name);
  }
  done = enter(*database_, std::string(name), {"removed", {}}, note);
  return done ? transaction->commit() : done;
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
