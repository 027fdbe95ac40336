#include "stillpoint/api/health_pages.h"

#include <nlohmann/json.hpp>
#include <string_view>

#include "stillpoint/api/health.h"
#include "stillpoint/api/metrics.h"
#include "stillpoint/api/status_json.h"

namespace stillpoint::api {
namespace {

constexpr const char* kJsonType = "application/json";

constexpr std::string_view kIndex =
    "/healthz      whether everything is good: 200, else 503\n"
    "/livez        whether the program works: 200, else 503 (restart it)\n"
    "/readyz       whether rovers can have fresh data: 200, else 503\n"
    "/metrics      numbers for monitoring\n"
    "/status.json  everything, for programs\n"
    "\n"
    "The first three are JSON with ?json behind them.\n";

// A program that wants JSON names it; a browser does not.
bool wants_json(const net::HttpRequest& request) {
  return request.query() == "json" ||
         request.field("Accept").find(kJsonType) != std::string::npos;
}

// Reasons come from devices and systems: names in them need not be UTF-8.
net::HttpResponse json_page(const nlohmann::ordered_json& document) {
  net::HttpResponse page;
  page.content_type = kJsonType;
  page.body = document.dump(
      1, ' ', false, nlohmann::ordered_json::error_handler_t::replace);
  page.body += '\n';
  return page;
}

std::string one_line(std::string text) {
  for (char& c : text) {
    if ((c >= '\0' && c < ' ') || c == '\x7F') {
      c = ' ';
    }
  }
  return text;
}

net::HttpResponse checks_page(const net::HttpRequest& request,
                              const std::vector<Check>& checks) {
  const bool good = all_good(checks);
  net::HttpResponse page;
  if (wants_json(request)) {
    page = json_page(health_json(checks));
  } else {
    page.body = good ? "ok\n" : "not ok\n";
    for (const Check& check : checks) {
      page.body += check.name +
                   (check.good ? ": good" : ": bad: " + one_line(check.why)) +
                   "\n";
    }
  }
  page.status = good ? 200 : 503;
  return page;
}

}  // namespace

net::HttpResponse answer(const net::HttpRequest& request,
                         const std::function<StationStatus()>& status) {
  const std::string_view path = request.path();
  if (path == "/healthz") {
    return checks_page(request, station_checks(status()));
  }
  if (path == "/livez") {
    return checks_page(request, {live_check(status())});
  }
  if (path == "/readyz") {
    return checks_page(request, ready_checks(status()));
  }
  if (path == "/status.json") {
    return json_page(status_json(status()));
  }
  net::HttpResponse page;
  if (path == "/metrics") {
    page.content_type = kMetricsContentType;
    page.body = metrics_text(status());
    return page;
  }
  if (path == "/") {
    page.body = kIndex;
    return page;
  }
  return net::http_status_page(404);
}

}  // namespace stillpoint::api
