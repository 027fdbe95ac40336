// The station's numbers for monitoring: docs/monitoring.md names every one.
// Names and their meaning are a promise; labels are bounded, and none holds a
// user, an address or a position.
#pragma once

#include <cstddef>
#include <string>

#include "stillpoint/api/station_status.h"

namespace stillpoint::api {

inline constexpr const char* kMetricsContentType =
    "text/plain; version=0.0.4; charset=utf-8";

// Of more message types the ones with the highest numbers are counted as
// "other": a damaged receiver could send all 4096.
inline constexpr std::size_t kMostMessageTypes = 100;
// Of more signals the rest is left out (RINEX 4 names fewer).
inline constexpr std::size_t kMostSignals = 200;

std::string metrics_text(const StationStatus& status);

}  // namespace stillpoint::api
