// What the owner should know about the records of the station.
#pragma once

#include "stillpoint/report/candidates_compare.h"

namespace stillpoint::report {

// Adds the warnings to a table whose rows are complete.
//
//   broadcast  somewhere WGS84 was taken for ITRF2020, or the reverse
void warn_of_candidates(CandidateTable& table,
                        const CandidateQuestion& question,
                        bool broadcast);

// Of a record that is, or is to be, what rovers get: code_position for one by
// code ranges, frame_broadcast for one in the satellites' own frame,
// plate_motion beyond 10 mm up to `now`.
std::vector<solve::Warning> warnings_of_adopted(const StoredRecord& stored,
                                                const std::string& plate,
                                                std::optional<GnssTime> now);

}  // namespace stillpoint::report
