// The tables of station.db, as numbered steps. docs/formats/station-db.md says
// the same for strangers. Internal.
#pragma once

#include <cstdint>
#include <span>

#include "stillpoint/store/database.h"

namespace stillpoint {

// "SPDB" in the file's head: the file is ours.
inline constexpr std::int64_t kApplicationId = 0x53504442;

// Makes a database of version - 1 one of `version`, the last statement being
// "PRAGMA user_version = version". A step that was released is never changed.
struct Migration {
  int version;
  Sql script;
};

// Every step in order, without holes, from version 1 on.
std::span<const Migration> migrations();

}  // namespace stillpoint
