// From the lines of one navigation record to an ephemeris. Inside this module
// only.
#pragma once

#include <cstddef>
#include <optional>
#include <string_view>

#include "stillpoint/core/result.h"
#include "stillpoint/gnss/ephemeris.h"
#include "stillpoint/rinex/navigation_fields.h"

namespace stillpoint::rinex::nav {

// Message of a version 4 record by its name there ("CNV1"); nothing for kinds
// that are not used (L1NV, L1OC, L3OC).
std::optional<NavMessage> message_from_name(System system,
                                            std::string_view name);

// Number of lines that a record must have, and that it may have at most.
struct LineCount {
  std::size_t least, most;
};
LineCount lines_of(System system, NavMessage message);

// Message of a version 2 or 3 record: they do not say it. Galileo records are
// told apart later, by their data sources.
NavMessage message_of_old(SatId sat);

// Reads one record.
//
//   stated   the record's message; nothing in versions 2 and 3
//   errors   kTruncated, kBadFormat, kOutOfRange, each with the satellite
//   source   RINEX 2.11 tables A3-A16; 3.05 and 4.02, tables of the navigation
//            messages (columns of CNAV, CNV1 to CNV3 from memory; a test holds
//            them against the other messages of the same satellites)
Result<KeplerEphemeris> decode_kepler(const RawRecord& record,
                                      const RecordHead& head,
                                      std::optional<NavMessage> stated,
                                      double version);
Result<StateEphemeris> decode_state(const RawRecord& record,
                                    const RecordHead& head,
                                    double version);

}  // namespace stillpoint::rinex::nav
