// A whole database copied while it is open. Internal.
#pragma once

#include <string>

#include "stillpoint/core/result.h"

namespace stillpoint {

// Copies the committed content of the database at `from` to a new file at
// `to`, through SQLite's backup API; a file that stands there is replaced when
// the copy is complete and on the disk, never before. Only the owner may read
// the copy.
//
//   errors   as sqlite_error(); kIo where the copy cannot be put in its place
Status copy_database(const std::string& from, const std::string& to);

// Makes a new, empty file that only its owner may read (SQLite itself would
// let everybody); a file that is there already is left alone, unopened:
// closing it would drop SQLite's locks.
Status create_private_file(const std::string& path);

}  // namespace stillpoint
