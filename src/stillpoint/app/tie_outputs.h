// What `tie` hands out: the record, the page for people, the document or text
// on stdout.
#pragma once

#include "stillpoint/app/tie_args.h"
#include "stillpoint/report/tie_context.h"

namespace stillpoint::app {

// Writes the record and the page where they are asked for, prints, and says
// with which code to exit.
//
//   solution   of report::tie_solution(), with the warnings of the whole
int hand_out_tie(const TieArgs& args,
                 const solve::Solution& solution,
                 const report::TieContext& context,
                 bool json);

}  // namespace stillpoint::app
