// The page of a located position, for people: the answer first, then what
// limits it, pictures of how it came about, tables, cautions.
#pragma once

#include <string>

#include "stillpoint/report/locate_context.h"

namespace stillpoint::solve {
struct PppSeries;
}  // namespace stillpoint::solve

namespace stillpoint::report {

// One HTML document without outside resources and without scripts; a content
// security policy in it forbids both. The same input gives the same bytes.
//
//   series   null or empty: without pictures, and a sentence says why
//   size     bounded: under 600 kB for a day of 30 satellites at 30 s, as
//            residuals are thinned (plot/thin.h) and other rows grow only with
//            satellites and input files
//   text     names and paths from files are escaped; bytes that are no UTF-8
//            are shown as U+FFFD
std::string locate_html(const solve::Solution& solution,
                        const LocateContext& context,
                        const solve::PppSeries* series);

}  // namespace stillpoint::report
