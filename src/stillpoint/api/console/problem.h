// Answers that say what is wrong.
//
//   source   RFC 9457
#pragma once

#include <optional>
#include <string>

#include "stillpoint/core/result.h"
#include "stillpoint/net/http_message.h"

namespace stillpoint::api {

struct Problem {
  int status = 500;
  const char* code = "internal";  // the list stands in docs/api.md
  std::string detail, remedy;     // remedy may be empty
  std::string field;              // of the body; empty: none
  std::optional<double> retry_after_s;
};

net::HttpResponse problem_answer(const Problem& problem);

// What an error of the station's parts is to the one who asked: usage and range
// 422, no data 404, disk and database 503.
net::HttpResponse problem_of(const Error& error);

}  // namespace stillpoint::api
