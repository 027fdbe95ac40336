// The comparison of position records for people.
#pragma once

#include <string>

#include "stillpoint/report/candidates_compare.h"

namespace stillpoint::report {

std::string candidates_text(const CandidateTable& table);

// "ppp-fixed of 24.0 hours, final products", "by hand: survey office".
std::string record_words(const StoredRecord& stored);

}  // namespace stillpoint::report
