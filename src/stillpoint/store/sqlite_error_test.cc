#include "stillpoint/store/sqlite_error.h"

#include <gtest/gtest.h>
#include <sqlite3.h>

namespace stillpoint {
namespace {

Error error_of(int code) {
  return sqlite_error(nullptr, code, "append to the logbook", "x/station.db");
}

TEST(SqliteError, SaysWhatWasTriedWhyWhereAndTheCode) {
  const Error error = error_of(SQLITE_FULL);
  EXPECT_EQ(error.text(),
            "x/station.db: cannot append to the logbook: database or disk is "
            "full (SQLite code 13)");
  EXPECT_NE(error.remedy.find("make room"), std::string::npos);
}

TEST(SqliteError, SortsCodesByWhatAnOwnerCanDo) {
  struct Row {
    int code;
    ErrorCode expected;
    const char* remedy;  // part of it
  };
  const Row rows[] = {
      {SQLITE_BUSY, ErrorCode::kIo, "another program"},
      {SQLITE_BUSY_SNAPSHOT, ErrorCode::kIo, "another program"},
      {SQLITE_READONLY_DBMOVED, ErrorCode::kIo, "writable"},
      {SQLITE_IOERR_FSYNC, ErrorCode::kIo, "disk"},
      {SQLITE_CANTOPEN, ErrorCode::kIo, "folder"},
      {SQLITE_PERM, ErrorCode::kIo, "user"},
      {SQLITE_PROTOCOL, ErrorCode::kIo, "network"},
      {SQLITE_CORRUPT_INDEX, ErrorCode::kBadFormat, "newest backup"},
      {SQLITE_NOTADB, ErrorCode::kBadFormat, "newest backup"},
      {SQLITE_NOMEM, ErrorCode::kTooLarge, "memory"},
      {SQLITE_CONSTRAINT_TRIGGER, ErrorCode::kInternal, ""},
      {SQLITE_MISUSE, ErrorCode::kInternal, ""},
  };
  for (const Row& row : rows) {
    const Error error = error_of(row.code);
    EXPECT_EQ(error.code, row.expected) << row.code;
    EXPECT_NE(error.remedy.find(row.remedy), std::string::npos) << row.code;
    EXPECT_NE(error.what.find(std::to_string(row.code)), std::string::npos);
  }
}

}  // namespace
}  // namespace stillpoint
