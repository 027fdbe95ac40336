// From SQLite's numbers to words that an owner can act on. Internal.
#pragma once

#include <string>
#include <string_view>

#include "stillpoint/core/result.h"

struct sqlite3;

namespace stillpoint {

inline constexpr const char* kDamagedRemedy =
    "stop the program and move the file with its -wal and -shm aside; then "
    "restore the newest backup, or start without the file: recorded data lies "
    "elsewhere and is not touched";

// What went wrong on a connection just now.
//
//   code     extended result code of the call that failed
//   doing    what was tried, after "cannot": "append to the logbook"
//   path     of the database, becomes `where`
//   returns  kIo for what the disk or another program does, kBadFormat for a
//            damaged file, kTooLarge for lack of memory, kInternal for the rest
//   source   sqlite.org/rescode.html for the meaning of the codes
Error sqlite_error(sqlite3* connection,
                   int code,
                   std::string_view doing,
                   const std::string& path);

}  // namespace stillpoint
