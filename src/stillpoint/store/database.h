// One connection to an SQLite file: prepared statements that are kept, errors
// in words, transactions that undo themselves. Internal; nothing here knows a
// table.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>

#include "stillpoint/core/result.h"

struct sqlite3;
struct sqlite3_stmt;

namespace stillpoint {

// Text of SQL, always written down in the program: only a constant converts,
// so that no value can become part of a statement. This prevents injection.
struct Sql {
  // NOLINTNEXTLINE(google-explicit-constructor): a literal is an Sql
  consteval Sql(const char* literal) : text(literal) {}
  const char* text;
};

class Database;

// One use of a prepared statement. Parameters and columns as SQLite counts
// them: parameters from 1, columns from 0. A failed bind() is told by next().
class Query {
 public:
  Query(Database& database, sqlite3_stmt* statement, const char* doing)
      : database_(&database), statement_(statement), doing_(doing) {}
  Query(const Query&) = delete;
  Query& operator=(const Query&) = delete;
  Query(Query&& other) noexcept;
  Query& operator=(Query&&) = delete;
  ~Query();

  Query& bind(int parameter, std::int64_t value);
  Query& bind(int parameter, double value);
  // The text must outlive the query.
  Query& bind(int parameter, std::string_view value);
  Query& bind(int parameter, std::optional<std::int64_t> value);

  // Goes to the next row; false after the last.
  Result<bool> next();
  // For statements without rows.
  Status finish();

  [[nodiscard]] std::int64_t integer(int column) const;
  [[nodiscard]] double real(int column) const;
  [[nodiscard]] std::string text(int column) const;
  [[nodiscard]] std::optional<std::int64_t> maybe_integer(int column) const;

 private:
  void note(int code);

  Database* database_;
  sqlite3_stmt* statement_;
  const char* doing_;
  int bind_code_ = 0;
};

// threads  one at a time; another thread opens a connection of its own
class Database {
 public:
  // Opens a file as it is: reads nothing, sets nothing that it remembers.
  static Result<std::unique_ptr<Database>> open(const std::string& path,
                                                int flags);
  Database(const Database&) = delete;
  Database& operator=(const Database&) = delete;
  Database(Database&&) = delete;
  Database& operator=(Database&&) = delete;
  ~Database();

  // A statement with nothing bound; prepared at the first use, then kept.
  //   doing  literal, for the error: "cannot <doing>: ..."
  Result<Query> query(Sql sql, const char* doing);
  // Statements without parameters and rows, one after the other.
  Status run(Sql script, const char* doing);
  // The single whole number that a statement answers.
  Result<std::int64_t> number(Sql sql, const char* doing);

  [[nodiscard]] Error error(int code, std::string_view doing) const;
  [[nodiscard]] sqlite3* handle() const { return connection_; }
  [[nodiscard]] const std::string& path() const { return path_; }
  // Rows that the last INSERT, UPDATE or DELETE touched.
  [[nodiscard]] std::int64_t changed_rows() const;
  // Row number that the last INSERT gave.
  [[nodiscard]] std::int64_t last_id() const;

 private:
  Database(sqlite3* connection, std::string path)
      : connection_(connection), path_(std::move(path)) {}

  sqlite3* connection_;
  std::string path_;
  std::unordered_map<const char*, sqlite3_stmt*> statements_;
};

// A write transaction; what was not committed is undone.
class Transaction {
 public:
  // Takes the write lock at once, so that nothing read inside grows stale.
  static Result<Transaction> begin(Database& database, const char* doing);
  Transaction(const Transaction&) = delete;
  Transaction& operator=(const Transaction&) = delete;
  Transaction(Transaction&& other) noexcept;
  Transaction& operator=(Transaction&&) = delete;
  ~Transaction();
  Status commit();

 private:
  Transaction(Database& database, const char* doing)
      : database_(&database), doing_(doing) {}

  Database* database_;  // null when there is nothing to undo
  const char* doing_;
};

}  // namespace stillpoint
