// The JSON document of `tie`: that of `locate` with the ties and the network;
// its schema is docs/schemas/tie.schema.json.
#pragma once

#include <nlohmann/json_fwd.hpp>

#include "stillpoint/report/tie_context.h"

namespace stillpoint::report {

//   solution   of tie_solution(), with the warnings of the whole
nlohmann::ordered_json tie_json(const solve::Solution& solution,
                                const TieContext& context);

}  // namespace stillpoint::report
