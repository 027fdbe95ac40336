// Tables for spreadsheets.
#pragma once

#include "stillpoint/api/console/json_answer.h"

namespace stillpoint::api {

// A list of objects with the same keys: a line of keys, then a line each. Texts
// that a spreadsheet would take for a formula get a ' in front.
//
//   source   RFC 4180
net::HttpResponse csv_answer(const Json& rows, const char* file_name);

}  // namespace stillpoint::api
