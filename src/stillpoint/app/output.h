// The only places that print: data on stdout, everything else on stderr.
#pragma once

#include <string_view>

#include "stillpoint/core/result.h"

namespace stillpoint::app {

// Returns false when stdout cannot take it (disk full, reader gone).
bool print_data(std::string_view text);
void print_note(std::string_view text);

// Says an error as text on stderr, or as a JSON document on stdout, and
// returns the exit code that goes with it.
int report_error(const Error& error, bool json);

}  // namespace stillpoint::app
