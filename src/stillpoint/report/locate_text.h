// The summary of `locate` for people: where, how sure, in which frame, what
// limits it, what to do next.
#pragma once

#include <string>

#include "stillpoint/report/locate_context.h"

namespace stillpoint::report {

std::string locate_text(const solve::Solution& solution,
                        const LocateContext& context);

}  // namespace stillpoint::report
