// The source table of the station: what rovers find when they ask what there
// is. From the settings, and from what the stream itself says.
//
//   source   fields by RTCM 10410.1, see ntrip/sourcetable.h; words such as
//            "none" are common practice, no source
#pragma once

#include <optional>
#include <string>

#include "stillpoint/config/station_config.h"
#include "stillpoint/geo/coords.h"
#include "stillpoint/ntrip/sourcetable.h"

namespace stillpoint::api {

// What has been seen of the stream so far; empty or missing: not known.
struct StreamFacts {
  std::string messages;             // "1005(10),1077(1)": type (period in s)
  std::optional<int> carrier;       // 0 none, 1 L1, 2 L1 and L2
  std::string nav_system;           // "GPS+GLO+GAL"
  std::optional<Ecef> broadcast_m;  // of 1005 or 1006
  std::optional<double> bits_per_second;
};

// One STR a mountpoint; one NET a network that the settings name; a CAS where
// rovers connect to one address, which is neither this computer's own nor every
// one: no other name of the caster is known here.
//
// The place is what the settings say, else that of the broadcast coordinate,
// rounded to 0.01 degrees (a kilometre). With trust.provisional and without an
// adopted position the record says "provisional".
//
//   adopted   there is an adopted position
ntrip::Sourcetable station_table(const config::StationConfig& config,
                                 const StreamFacts& facts,
                                 bool adopted);

}  // namespace stillpoint::api
