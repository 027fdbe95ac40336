// What `listen` says to people.
#pragma once

#include <string>

#include "stillpoint/intake/survey_report.h"

namespace stillpoint::report {

// Lines of at most 78 columns, each with its end; no escape sequences.
//
//   name_of  the name of a message type, or nullptr
std::string listen_text(const intake::SurveyReport& survey,
                        const std::string& source,
                        const char* (*name_of)(int));

}  // namespace stillpoint::report
