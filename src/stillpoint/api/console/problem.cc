#include "stillpoint/api/console/problem.h"

#include <cmath>
#include <string_view>

#include "stillpoint/api/console/json_answer.h"

namespace stillpoint::api {
namespace {

// "404 Not Found" without the number.
std::string title_of(int status) {
  const std::string line = net::http_status_page(status).body;
  const auto from = line.find(' ');
  const auto end = line.find_last_not_of(" \n");
  return from == std::string::npos ? "Error"
                                   : line.substr(from + 1, end - from);
}

}  // namespace

net::HttpResponse problem_answer(const Problem& problem) {
  net::HttpResponse answer =
      json_answer(problem.status,
                  {{"schema_version", kApiSchemaVersion},
                   {"type", "about:blank"},
                   {"title", title_of(problem.status)},
                   {"status", problem.status},
                   {"code", problem.code},
                   {"detail", problem.detail},
                   {"remedy", text_or_null(problem.remedy)},
                   {"field", text_or_null(problem.field)},
                   {"retry_after_s", number_or_null(problem.retry_after_s)}});
  answer.content_type = "application/problem+json";
  if (problem.retry_after_s) {
    answer.extra.push_back({"Retry-After",
                            std::to_string(static_cast<long long>(
                                std::ceil(*problem.retry_after_s)))});
  }
  return answer;
}

net::HttpResponse problem_of(const Error& error) {
  Problem problem;
  problem.detail = error.what;
  problem.remedy =
      error.remedy.empty() ? default_remedy(error.code) : error.remedy;
  switch (error.code) {
    case ErrorCode::kNoData:
      problem.status = 404;
      problem.code = "not_found";
      break;
    case ErrorCode::kIo:
    case ErrorCode::kInternal:
      problem.status = 503;
      problem.code = "not_now";
      break;
    case ErrorCode::kTooLarge:
      problem.status = 413;
      problem.code = "too_large";
      break;
    default:
      problem.status = 422;
      problem.code = "refused";
  }
  return problem_answer(problem);
}

}  // namespace stillpoint::api
