// The summary of `tie` for people: where, how sure, tied to what, whether the
// known coordinates agree, what limits it, what to do next.
#pragma once

#include <string>

#include "stillpoint/report/tie_context.h"

namespace stillpoint::report {

//   solution   of tie_solution(), with the warnings of the whole
std::string tie_text(const solve::Solution& solution,
                     const TieContext& context);

// "1.2 m", "14.3 km".
std::string distance_words(double m);

// How far the tie is off the adjusted position: "east +0.3, …"; empty where it
// was not adjusted.
std::string residual_words(const TieReport& tie);

// How the known coordinate came to the epoch of the answer.
std::string known_words(const TieReport& tie);

// What limits an answer that there is.
std::string tie_limits(const solve::Solution& solution,
                       const TieContext& context);

// What to do next.
std::string tie_next_step(const solve::Solution& solution,
                          const TieContext& context);

}  // namespace stillpoint::report
