#include "stillpoint/store/sqlite_error.h"

#include <sqlite3.h>

#include <system_error>

namespace stillpoint {
namespace {

struct Meaning {
  int primary;
  ErrorCode code;
  const char* remedy;
};

constexpr const char* kDiskRemedy =
    "look at the disk that holds this file: is it full, worn out or "
    "unplugged? Once it is cured the program goes on by itself";

constexpr Meaning kMeanings[] = {
    {SQLITE_FULL,
     ErrorCode::kIo,
     "make room on the disk that holds this file; after that the program goes "
     "on by itself"},
    {SQLITE_READONLY,
     ErrorCode::kIo,
     "make the disk and the file writable for this user; a disk that turned "
     "read-only by itself has had errors: check it"},
    {SQLITE_IOERR, ErrorCode::kIo, kDiskRemedy},
    {SQLITE_CANTOPEN,
     ErrorCode::kIo,
     "check that the folder exists and that this user may write in it"},
    {SQLITE_PERM,
     ErrorCode::kIo,
     "check that this user may read and write the file and its folder"},
    {SQLITE_BUSY,
     ErrorCode::kIo,
     "another program is writing to this file; end it, or try again"},
    {SQLITE_LOCKED,
     ErrorCode::kIo,
     "another program is writing to this file; end it, or try again"},
    {SQLITE_PROTOCOL,
     ErrorCode::kIo,
     "the file's locks do not work: keep it on a disk of this machine, not on "
     "a network share"},
    {SQLITE_CORRUPT, ErrorCode::kBadFormat, kDamagedRemedy},
    {SQLITE_NOTADB, ErrorCode::kBadFormat, kDamagedRemedy},
    {SQLITE_NOMEM,
     ErrorCode::kTooLarge,
     "memory is short; end other programs or start this one again"},
};

}  // namespace

Error sqlite_error(sqlite3* connection,
                   int code,
                   std::string_view doing,
                   const std::string& path) {
  Error error;
  error.where = path;
  error.what = "cannot ";
  error.what += doing;
  error.what += ": ";
  // The connection's own message has details, where it speaks of this call.
  const bool own =
      connection != nullptr &&
      (sqlite3_extended_errcode(connection) & 0xff) == (code & 0xff);
  error.what += own ? sqlite3_errmsg(connection) : sqlite3_errstr(code);
  error.what += " (SQLite code " + std::to_string(code);
  const int primary = code & 0xff;
  const int number = connection == nullptr || primary == SQLITE_CONSTRAINT
                         ? 0
                         : sqlite3_system_errno(connection);
  if (number != 0 && (primary == SQLITE_IOERR || primary == SQLITE_CANTOPEN)) {
    error.what += ", system: " + std::generic_category().message(number);
  }
  error.what += ")";
  for (const Meaning& meaning : kMeanings) {
    if (meaning.primary == primary) {
      error.code = meaning.code;
      error.remedy = meaning.remedy;
    }
  }
  return error;
}

}  // namespace stillpoint
