// The details of a logbook entry as JSON text. Internal.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/store/logbook.h"

namespace stillpoint {

// One JSON object, keys in the given order, cleaned as Logbook::append() says.
//
//   errors   as Logbook::append()
Result<std::string> format_log_details(const LogEntry& entry);

// The reverse; nothing for text that format_log_details() does not write.
std::optional<std::vector<LogDetail>> parse_log_details(std::string_view json);

}  // namespace stillpoint
