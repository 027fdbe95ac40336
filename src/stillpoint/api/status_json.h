// /status.json: everything that the station knows about itself, for programs.
// docs/schemas/status.schema.json is its schema.
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <vector>

#include "stillpoint/api/health.h"
#include "stillpoint/api/station_status.h"

namespace stillpoint::api {

inline constexpr int kStatusSchemaVersion = 1;

// Every key is always there; null stands for what is not known. Holds no
// position.
nlohmann::ordered_json status_json(const StationStatus& status);

// docs/schemas/health.schema.json.
nlohmann::ordered_json health_json(const std::vector<Check>& checks);

}  // namespace stillpoint::api
