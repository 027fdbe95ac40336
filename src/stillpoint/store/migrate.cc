#include "stillpoint/store/migrate.h"

#include <utility>

#include "stillpoint/store/database_copy.h"

namespace stillpoint {
namespace {

constexpr const char* kReading = "read the database's version";
constexpr const char* kMigrating = "bring the database to this version";

Result<std::int64_t> version_of(Database& database) {
  return database.number("PRAGMA user_version", kReading);
}

Status take_step(Database& database, const Migration& step) {
  Status taken = database.run(step.script, kMigrating);
  if (!taken) {
    return taken;
  }
  const Result<std::int64_t> reached = version_of(database);
  if (!reached) {
    return fail(reached.error());
  }
  if (*reached != step.version) {
    return fail(ErrorCode::kInternal,
                "step " + std::to_string(step.version) +
                    " left the database at version " + std::to_string(*reached),
                database.path());
  }
  return ok();
}

Status check_references(Database& database) {
  Result<Query> query =
      database.query("PRAGMA foreign_key_check", "check the references");
  if (!query) {
    return fail(std::move(query.error()));
  }
  const Result<bool> broken = query->next();
  if (!broken) {
    return fail(broken.error());
  }
  if (*broken) {
    return fail(ErrorCode::kInternal,
                "a new version of the database would have a row of table " +
                    query->text(0) + " that refers to nothing",
                database.path());
  }
  return ok();
}

}  // namespace

Status check_version(Database& database, std::span<const Migration> steps) {
  const Result<std::int64_t> version = version_of(database);
  if (!version) {
    return fail(version.error());
  }
  const Result<std::int64_t> owner =
      database.number("PRAGMA application_id", kReading);
  if (!owner) {
    return fail(owner.error());
  }
  const Result<std::int64_t> things =
      database.number("SELECT count(*) FROM sqlite_schema", kReading);
  if (!things) {
    return fail(things.error());
  }
  const bool is_new = *version == 0 && *owner == 0 && *things == 0;
  if (!is_new && (*owner != kApplicationId || *version < 1)) {
    return fail(ErrorCode::kBadFormat,
                "this is a database of another program",
                database.path(),
                "give another path; this file is left as it is");
  }
  const int newest = steps.back().version;
  if (*version > newest) {
    return fail(
        ErrorCode::kUnsupported,
        "this database was written by a newer program: it has version " +
            std::to_string(*version) +
            ", and this program knows versions up to " + std::to_string(newest),
        database.path(),
        "install the newer program again, or restore the copy " +
            database.path() + ".version-" + std::to_string(newest) +
            " if it is there; this file is left as it is");
  }
  return ok();
}

Result<std::optional<Migrated>> migrate(Database& database,
                                        std::span<const Migration> steps) {
  Result<Transaction> transaction = Transaction::begin(database, kMigrating);
  if (!transaction) {
    return fail(std::move(transaction.error()));
  }
  // Once more, under the lock: another program may have been faster.
  const Status usable = check_version(database, steps);
  if (!usable) {
    return fail(usable.error());
  }
  const Result<std::int64_t> found = version_of(database);
  if (!found) {
    return fail(found.error());
  }
  Migrated done{static_cast<int>(*found), steps.back().version, std::string{}};
  if (done.from == done.to) {
    return std::nullopt;
  }
  if (done.from > 0) {
    done.copy = database.path() + ".version-" + std::to_string(done.from);
    const Status copied = copy_database(database.path(), done.copy);
    if (!copied) {
      return fail(copied.error());
    }
  }
  for (const Migration& step : steps) {
    if (step.version <= done.from) {
      continue;
    }
    const Status taken = take_step(database, step);
    if (!taken) {
      return fail(taken.error());
    }
  }
  const Status whole = check_references(database);
  if (!whole) {
    return fail(whole.error());
  }
  const Status committed = transaction->commit();
  if (!committed) {
    return fail(committed.error());
  }
  return done;
}

}  // namespace stillpoint
