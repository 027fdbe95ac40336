// From the version a database has to the one this program writes. Internal.
#pragma once

#include <optional>
#include <span>
#include <string>

#include "stillpoint/store/database.h"
#include "stillpoint/store/schema.h"

namespace stillpoint {

struct Migrated {
  int from = 0;      // version found; 0: the file was new
  int to = 0;        // version made of it
  std::string copy;  // where the old database was copied; empty for a new one
};

// Says whether this program may use the file, by reading alone.
//
//   errors   kBadFormat for what is no database, or one of another program;
//            kUnsupported for one that a newer version of this program wrote
Status check_version(Database& database, std::span<const Migration> steps);

// Takes the steps that the database lacks, all or none. Before the first, the
// database is copied to "<path>.version-<old>".
//
//   database  passed check_version()
//   returns   what was done; nothing where the version was right
Result<std::optional<Migrated>> migrate(Database& database,
                                        std::span<const Migration> steps);

}  // namespace stillpoint
