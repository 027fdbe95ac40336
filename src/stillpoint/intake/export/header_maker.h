// The header of an exported file.
#pragma once

#include <map>
#include <span>
#include <string>
#include <vector>

#include "stillpoint/archive/gap.h"
#include "stillpoint/intake/export/export_request.h"
#include "stillpoint/intake/export/period_facts.h"
#include "stillpoint/rinex/observation_header.h"

namespace stillpoint::intake {

// What a file that holds `facts` says at its front. Phase shifts stay empty: a
// stream does not tell them.
//
//   channels  of GLONASS satellites, those of the file and others
//   gaps      of the recording; those within the period stand in comments
rinex::ObservationHeader make_header(const ExportRequest& request,
                                     const Period& period,
                                     const PeriodFacts& facts,
                                     const std::map<SatId, int>& channels,
                                     std::span<const archive::Gap> gaps);

// Comment lines that name where bytes came from and what is not there.
std::vector<std::string> origin_comments(std::span<const StreamRange> bytes);
std::vector<std::string> gap_comments(const Period& period,
                                      std::span<const archive::Gap> gaps);

// "dropped", "damaged", "missing", "interrupted".
const char* gap_name(archive::GapReason reason);

}  // namespace stillpoint::intake
