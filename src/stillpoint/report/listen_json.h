// The JSON document of `listen`; its schema is docs/schemas/listen.schema.json.
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>

#include "stillpoint/intake/survey_report.h"

namespace stillpoint::report {

// Every key of the contract is present; null, never 0, for what did not come.
//
//   source   as it was given (no password can stand in it)
nlohmann::ordered_json listen_json(const intake::SurveyReport& survey,
                                   const std::string& source);

}  // namespace stillpoint::report
