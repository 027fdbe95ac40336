// The page of a tie, for people: as that of a located position, with the ties
// and whether the known coordinates agree.
#pragma once

#include <string>

#include "stillpoint/report/tie_context.h"

namespace stillpoint::report {

// One HTML document without outside resources and without scripts; see
// locate_html.h. The pictures of each tie come one after the other.
//
//   solution   of tie_solution(), with the warnings of the whole
//   size       as that of a located position, for each tie
std::string tie_html(const solve::Solution& solution,
                     const TieContext& context);

}  // namespace stillpoint::report
