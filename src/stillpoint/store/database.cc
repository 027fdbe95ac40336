#include "stillpoint/store/database.h"

#include <sqlite3.h>

#include <utility>

#include "stillpoint/core/check.h"
#include "stillpoint/store/sqlite_error.h"

namespace stillpoint {
namespace {

// Longer than any write of ours; a second program that copies or looks into
// the file gets its turn.
constexpr int kBusyTimeoutMs = 5000;

}  // namespace

Query::Query(Query&& other) noexcept
    : database_(other.database_),
      statement_(std::exchange(other.statement_, nullptr)),
      doing_(other.doing_),
      bind_code_(other.bind_code_) {}

Query::~Query() {
  if (statement_ != nullptr) {
    // Repeats the error of the last step, which next() has told.
    sqlite3_reset(statement_);
    sqlite3_clear_bindings(statement_);
  }
}

void Query::note(int code) {
  if (bind_code_ == SQLITE_OK) {
    bind_code_ = code;
  }
}

Query& Query::bind(int parameter, std::int64_t value) {
  note(sqlite3_bind_int64(statement_, parameter, value));
  return *this;
}

Query& Query::bind(int parameter, double value) {
  note(sqlite3_bind_double(statement_, parameter, value));
  return *this;
}

Query& Query::bind(int parameter, std::string_view value) {
  // A null pointer would be stored as NULL.
  const char* bytes = value.empty() ? "" : value.data();
  note(sqlite3_bind_text64(
      statement_, parameter, bytes, value.size(), nullptr, SQLITE_UTF8));
  return *this;
}

Query& Query::bind(int parameter, std::optional<std::int64_t> value) {
  note(value ? sqlite3_bind_int64(statement_, parameter, *value)
             : sqlite3_bind_null(statement_, parameter));
  return *this;
}

Result<bool> Query::next() {
  if (bind_code_ != SQLITE_OK) {
    return fail(database_->error(bind_code_, doing_));
  }
  const int code = sqlite3_step(statement_);
  if (code == SQLITE_ROW) {
    return true;
  }
  if (code == SQLITE_DONE) {
    return false;
  }
  return fail(
      database_->error(sqlite3_extended_errcode(database_->handle()), doing_));
}

Status Query::finish() {
  const Result<bool> row = next();
  if (!row) {
    return fail(row.error());
  }
  STILLPOINT_CHECK(!*row);
  return ok();
}

std::int64_t Query::integer(int column) const {
  return sqlite3_column_int64(statement_, column);
}

double Query::real(int column) const {
  return sqlite3_column_double(statement_, column);
}

std::string Query::text(int column) const {
  // In this order: the first call may convert, the second counts the result.
  const unsigned char* bytes = sqlite3_column_text(statement_, column);
  const int size = sqlite3_column_bytes(statement_, column);
  if (bytes == nullptr || size <= 0) {
    return {};
  }
  return {bytes, bytes + size};
}

std::optional<std::int64_t> Query::maybe_integer(int column) const {
  if (sqlite3_column_type(statement_, column) == SQLITE_NULL) {
    return std::nullopt;
  }
  return integer(column);
}

Result<std::unique_ptr<Database>> Database::open(const std::string& path,
                                                 int flags) {
  sqlite3* connection = nullptr;
  const int code = sqlite3_open_v2(
      path.c_str(), &connection, flags | SQLITE_OPEN_NOMUTEX, nullptr);
  if (code != SQLITE_OK) {
    Error error = sqlite_error(connection, code, "open the database", path);
    sqlite3_close(connection);
    return fail(std::move(error));
  }
  sqlite3_extended_result_codes(connection, 1);
  sqlite3_busy_timeout(connection, kBusyTimeoutMs);
  // A damaged or malicious file must not get further than an error.
  sqlite3_db_config(connection, SQLITE_DBCONFIG_DEFENSIVE, 1, nullptr);
  sqlite3_db_config(connection, SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0, nullptr);
  return std::unique_ptr<Database>(new Database(connection, path));
}

Database::~Database() {
  for (const auto& [text, statement] : statements_) {
    sqlite3_finalize(statement);
  }
  STILLPOINT_CHECK(sqlite3_close(connection_) == SQLITE_OK);
}

Result<Query> Database::query(Sql sql, const char* doing) {
  sqlite3_stmt*& kept = statements_[sql.text];
  if (kept == nullptr) {
    const int code = sqlite3_prepare_v3(
        connection_, sql.text, -1, SQLITE_PREPARE_PERSISTENT, &kept, nullptr);
    if (code != SQLITE_OK) {
      return fail(error(code, doing));
    }
  }
  STILLPOINT_CHECK(sqlite3_stmt_busy(kept) == 0);
  return Query(*this, kept, doing);
}

Status Database::run(Sql script, const char* doing) {
  const int code =
      sqlite3_exec(connection_, script.text, nullptr, nullptr, nullptr);
  if (code != SQLITE_OK) {
    return fail(error(code, doing));
  }
  return ok();
}

Result<std::int64_t> Database::number(Sql sql, const char* doing) {
  Result<Query> query = this->query(sql, doing);
  if (!query) {
    return fail(std::move(query.error()));
  }
  const Result<bool> row = query->next();
  if (!row) {
    return fail(row.error());
  }
  return *row ? query->integer(0) : 0;
}

Error Database::error(int code, std::string_view doing) const {
  return sqlite_error(connection_, code, doing, path_);
}

std::int64_t Database::changed_rows() const {
  return sqlite3_changes64(connection_);
}

std::int64_t Database::last_id() const {
  return sqlite3_last_insert_rowid(connection_);
}

Result<Transaction> Transaction::begin(Database& database, const char* doing) {
  const Status begun = database.run("BEGIN IMMEDIATE", doing);
  if (!begun) {
    return fail(begun.error());
  }
  return Transaction(database, doing);
}

Transaction::Transaction(Transaction&& other) noexcept
    : database_(std::exchange(other.database_, nullptr)),
      doing_(other.doing_) {}

Transaction::~Transaction() {
  // A full disk may have made SQLite undo it already.
  if (database_ != nullptr &&
      sqlite3_get_autocommit(database_->handle()) == 0) {
    sqlite3_exec(database_->handle(), "ROLLBACK", nullptr, nullptr, nullptr);
  }
}

Status Transaction::commit() {
  Status committed = database_->run("COMMIT", doing_);
  if (committed) {
    database_ = nullptr;
  }
  return committed;
}

}  // namespace stillpoint
