// What truly was, as text beside a simulated receiver's files: comma-separated
// columns that docs/formats/truth.md explains. Lines only; files are the
// caller's.
#pragma once

#include <string>

#include "stillpoint/simulate/receiver/terms.h"

namespace stillpoint::simulate {

// One line an epoch: where the antenna was and what the clock read.
std::string truth_heading();
void append_truth(const EpochTerms& terms, std::string& out);

// One line an observation: everything that went in.
std::string terms_heading();
void append_terms(const EpochTerms& terms, std::string& out);

}  // namespace stillpoint::simulate
