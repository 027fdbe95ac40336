#include "stillpoint/store/store.h"

#include <sqlite3.h>

#include <system_error>
#include <utility>

#include "stillpoint/store/database.h"
#include "stillpoint/store/database_copy.h"
#include "stillpoint/store/migrate.h"
#include "stillpoint/store/schema.h"
#include "stillpoint/store/sqlite_error.h"

namespace stillpoint {
namespace {

constexpr const char* kPreparing = "prepare the database";

// While a connection may still turn out to be of no use, its end must not
// move the log of the last writer into the file.
void keep_untouched(Database& database, bool untouched) {
  sqlite3_db_config(database.handle(),
                    SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE,
                    untouched ? 1 : 0,
                    nullptr);
}

Status check_whole(Database& database) {
  Result<Query> query =
      database.query("PRAGMA quick_check(1)", "check the database");
  if (!query) {
    return fail(std::move(query.error()));
  }
  const Result<bool> row = query->next();
  if (!row) {
    return fail(row.error());
  }
  const std::string found = *row ? query->text(0) : "no answer";
  if (found != "ok") {
    return fail(ErrorCode::kBadFormat,
                "the database is damaged: " + found,
                database.path(),
                kDamagedRemedy);
  }
  return ok();
}

// A disk that is mounted read-only lets SQLite open the file all the same, to
// fail later with words about something else.
Status check_writable(Database& database) {
  if (sqlite3_db_readonly(database.handle(), "main") == 0) {
    return ok();
  }
  return fail(database.error(SQLITE_READONLY, "write to the database"));
}

// WAL: readers and the writer do not wait for each other, and a write costs
// one sync.
//
// synchronous = FULL: in WAL mode NORMAL syncs at checkpoints only, so that
// the last minutes of the logbook would vanish with the power although
// append() had said that they were written. FULL syncs the log at every
// commit. It holds for the whole connection: users change rarely and minutes
// come in batches, so that nothing would be gained by an exception.
//
// journal_size_limit: the log file goes back to 4 MiB after a large deletion.
Status prepare(Database& database) {
  {
    Result<Query> query =
        database.query("PRAGMA journal_mode = WAL", kPreparing);
    if (!query) {
      return fail(std::move(query.error()));
    }
    const Result<bool> row = query->next();
    if (!row) {
      return fail(row.error());
    }
    if (query->text(0) != "wal") {
      return fail(ErrorCode::kIo,
                  "this disk cannot hold a write-ahead log",
                  database.path(),
                  "keep the state folder on a disk of this machine, not on a "
                  "network share");
    }
  }
  return database.run(
      "PRAGMA synchronous = FULL;"
      "PRAGMA journal_size_limit = 4194304;"
      "PRAGMA temp_store = MEMORY;"
      "PRAGMA cell_size_check = ON",
      kPreparing);
}

}  // namespace

Store::Store(std::unique_ptr<Database> database)
    : database_(std::move(database)),
      logbook_(*database_),
      users_(*database_),
      minutes_(*database_),
      positions_(*database_),
      console_access_(*database_) {}

Store::Store(Store&&) noexcept = default;
Store& Store::operator=(Store&&) noexcept = default;
Store::~Store() = default;

Result<Store> Store::open(const std::filesystem::path& path) {
  // Absolute, so that no name has a meaning of its own to SQLite.
  std::error_code problem;
  const std::string whole = std::filesystem::absolute(path, problem).string();
  if (path.empty() || problem) {
    return fail(ErrorCode::kIo, "the database has no usable path", path);
  }
  const Status created = create_private_file(whole);
  if (!created) {
    return fail(created.error());
  }
  auto opened = Database::open(whole, SQLITE_OPEN_READWRITE);
  if (!opened) {
    return fail(std::move(opened.error()));
  }
  Database& database = **opened;
  keep_untouched(database, true);
  const Status usable =
      check_writable(database)
          .and_then([&](auto) { return check_version(database, migrations()); })
          .and_then([&](auto) { return check_whole(database); })
          .and_then([&](auto) { return prepare(database); });
  if (!usable) {
    return fail(usable.error());
  }
  keep_untouched(database, false);
  const Result<std::optional<Migrated>> migrated =
      migrate(database, migrations());
  if (!migrated) {
    return fail(migrated.error());
  }
  // After the steps, which may have to build a table anew.
  const Status referring = database.run("PRAGMA foreign_keys = ON", kPreparing);
  if (!referring) {
    return fail(referring.error());
  }
  Store store(std::move(*opened));
  if (*migrated && (*migrated)->from > 0) {
    store.upgrade_ =
        Upgrade{(*migrated)->from, (*migrated)->to, (*migrated)->copy};
  }
  return store;
}

}  // namespace stillpoint
