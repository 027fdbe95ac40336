// The station's checks: what is good, what is not, and why. Pure functions of
// the status.
#pragma once

#include <string>
#include <vector>

#include "stillpoint/api/station_status.h"

namespace stillpoint::api {

struct Check {
  std::string name;
  bool good = true;
  std::string why;  // where it is not good
};

// A thread that was not seen working for so long hangs.
inline constexpr double kThreadSilenceS = 30;
// Bytes that come and make no epoch for so long are not what a base sends.
inline constexpr double kEpochSilenceS = 60;
// Received bytes are safe within 10 s by promise; a card that stalls for longer
// is in trouble.
inline constexpr double kCommitSilenceS = 60;
// Files are named by the computer's clock, and a rover's certificate check
// depends on it; the way through receiver and cable takes less than that.
inline constexpr double kClockOffsetS = 5;
inline constexpr double kCertificateDays = 14;

// receiver, archive, disk, rovers, decode, store, clock, threads, config,
// certificate; always all of them, in this order. What is not known is good,
// but for the threads: with none known that check is bad.
std::vector<Check> station_checks(const StationStatus& status);

// Whether the process works: every thread beats.
Check live_check(const StationStatus& status);

// Whether rovers can have fresh data: bytes come, and a port is open to them.
std::vector<Check> ready_checks(const StationStatus& status);

bool all_good(const std::vector<Check>& checks);

}  // namespace stillpoint::api
