// Position records as rows of their table. Internal.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "stillpoint/store/database.h"
#include "stillpoint/store/position_records.h"

namespace stillpoint {

//   record   passed check_record()
//   errors   kIo
Status insert_record(Database& database,
                     const PositionRecord& record,
                     const ChangeNote& note);

// Newest first, without their documents.
//
//   errors   kIo; kBadFormat where the file is damaged
Result<std::vector<StoredRecord>> read_records(Database& database);

enum class Documents : std::uint8_t { kLeftOut, kRead };

// Nothing where there is no such record.
//
//   errors   as read_records()
Result<std::optional<StoredRecord>> read_record(Database& database,
                                                std::int64_t id,
                                                Documents documents);

}  // namespace stillpoint
