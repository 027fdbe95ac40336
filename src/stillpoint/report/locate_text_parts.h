// Paragraphs that the texts of `locate` and `tie` share.
#pragma once

#include <string>

#include "stillpoint/report/locate_context.h"

namespace stillpoint::report {

// Whether the position is one by carrier phases.
bool by_phases(const solve::Solution& s);

// Of a position by phases, where centimetres are coarse: "1.2 mm", "120 mm".
std::string fine_length(double m);

// Where, which point, which frame, how sure; a position must be there.
//   why   of the phases: how the answer ended, or empty
void tell_place(std::string& out,
                const solve::Solution& s,
                const std::string& why);
// Epochs, satellites, fit; a position must be there.
//   counted   what Solution::ambiguities counts: "arcs"
void tell_data(std::string& out, const solve::Solution& s, const char* counted);
// What became of the phases' whole numbers; nothing for codes.
void tell_integers(std::string& out, const solve::Solution& s);
void tell_excluded(std::string& out, const solve::Counts& c);
// The warnings, the terms left out, the caution.
void tell_notes(std::string& out,
                const solve::Solution& s,
                const LocateContext& c);

// "12 of 14 kept as whole numbers (…); …", or why there are none; empty where
// nothing is to be said.
std::string integers_words(const solve::Solution& s);

}  // namespace stillpoint::report
