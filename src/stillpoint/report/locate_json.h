// The JSON document of `locate`; its schema is docs/schemas/locate.schema.json.
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>

#include "stillpoint/core/result.h"
#include "stillpoint/report/locate_context.h"

namespace stillpoint::report {

inline constexpr int kSchemaVersion = 1;

// Every key of the contract is present, null for what is not known. A failed
// solution has position null and an error key besides.
nlohmann::ordered_json locate_json(const solve::Solution& solution,
                                   const LocateContext& context);

// {"total", "fixed", "ratio", "integers_from"}
nlohmann::ordered_json ambiguities_json(const solve::Solution& solution);

// {"code", "what", "where", "remedy"} of an error, under the key "error".
nlohmann::ordered_json error_json(const Error& error);

// The document as it is printed: indented, with a line end.
std::string to_text(const nlohmann::ordered_json& document);

}  // namespace stillpoint::report
