#include "stillpoint/api/console/routes.h"

#include <algorithm>
#include <array>

namespace stillpoint::api {
namespace {

constexpr std::size_t kSmall = std::size_t{16} * 1024;
constexpr std::size_t kDocument = std::size_t{4} * 1024 * 1024;

constexpr auto kNone = BodyKind::kNone;
constexpr auto kJson = BodyKind::kJson;

constexpr std::array kRoutes{
    Route{"GET", "door", Access::kNobody, get_door},
    Route{"POST", "claim", Access::kNobody, post_claim, kJson, kSmall},
    Route{"POST", "sessions", Access::kNobody, post_session, kJson, kSmall},
    Route{"DELETE", "sessions/current", Access::kGuest, delete_session},
    Route{"PUT", "password", Access::kGuest, put_password, kJson, kSmall},
    Route{"GET", "now", Access::kGuest, get_now},
    Route{"GET", "sky", Access::kGuest, get_sky},
    Route{"GET", "coordinate", Access::kGuest, get_coordinate},
    Route{"GET", "stream", Access::kGuest, get_stream},
    Route{"GET", "record", Access::kGuest, get_record},
    Route{"GET", "record/raw/**", Access::kHelper, get_raw},
    Route{"GET", "logbook", Access::kGuest, get_logbook},
    // Console answers it itself: it keeps the streams.
    Route{"GET", "events", Access::kGuest, nullptr},
    Route{"GET", "jobs", Access::kGuest, get_jobs},
    Route{"POST", "jobs", Access::kHelper, post_job, kJson, kSmall},
    Route{"GET", "jobs/*", Access::kGuest, get_job},
    Route{"DELETE", "jobs/*", Access::kHelper, delete_job},
    Route{"GET", "jobs/*/report", Access::kGuest, get_job_report},
    Route{"GET", "jobs/*/log", Access::kHelper, get_job_log},
    Route{"GET", "jobs/*/files/*", Access::kHelper, get_job_file},
    Route{"POST", "adoptions", Access::kOwner, post_adoption, kJson, kSmall},
    Route{"POST", "records", Access::kOwner, post_record, kJson, kDocument},
    Route{"GET", "people", Access::kOwner, get_people, kNone},
    Route{"POST", "people", Access::kOwner, post_person, kJson, kSmall},
    Route{"PATCH", "people/*", Access::kOwner, patch_person, kJson, kSmall},
    Route{"DELETE", "people/*", Access::kOwner, delete_person},
    Route{"POST", "rovers", Access::kOwner, post_rover, kJson, kSmall},
    Route{"PATCH", "rovers/*", Access::kOwner, patch_rover, kJson, kSmall},
    Route{"DELETE", "rovers/*", Access::kOwner, delete_rover},
};

int hex_value(char c) {
  return c >= '0' && c <= '9'   ? c - '0'
         : c >= 'a' && c <= 'f' ? c - 'a' + 10
         : c >= 'A' && c <= 'F' ? c - 'A' + 10
                                : -1;
}

// Nothing for what cannot be decoded, or holds control characters.
std::optional<std::string> decoded(std::string_view text, bool plus_is_blank) {
  std::string out;
  out.reserve(text.size());
  for (std::size_t i = 0; i < text.size(); ++i) {
    char c = text[i];
    if (c == '%') {
      if (i + 2 >= text.size()) {
        return std::nullopt;
      }
      const int high = hex_value(text[i + 1]), low = hex_value(text[i + 2]);
      if (high < 0 || low < 0) {
        return std::nullopt;
      }
      c = static_cast<char>(16 * high + low);
      i += 2;
    } else if (c == '+' && plus_is_blank) {
      c = ' ';
    }
    if ((c >= '\0' && c < ' ') || c == '\x7F') {
      return std::nullopt;
    }
    out += c;
  }
  return out;
}

std::string_view next_part(std::string_view& rest) {
  const auto end = rest.find('/');
  const std::string_view part = rest.substr(0, end);
  rest =
      end == std::string_view::npos ? std::string_view() : rest.substr(end + 1);
  return part;
}

// The parts behind the wildcards; nothing where the path is another.
std::optional<std::vector<std::string>> matched(std::string_view pattern,
                                                std::string_view path) {
  std::vector<std::string> parts;
  while (!pattern.empty() && !path.empty()) {
    const std::string_view wanted = next_part(pattern);
    if (wanted == "**") {
      auto rest = decoded(path, false);
      if (!rest) {
        return std::nullopt;
      }
      parts.push_back(std::move(*rest));
      return parts;
    }
    const bool last = path.find('/') == std::string_view::npos;
    const std::string_view part = next_part(path);
    if (!last && path.empty()) {
      return std::nullopt;  // a slash at the end
    }
    if (wanted != "*") {
      if (wanted != part) {
        return std::nullopt;
      }
      continue;
    }
    auto value = decoded(part, false);
    if (!value || value->empty() || value->find('/') != std::string::npos) {
      return std::nullopt;
    }
    parts.push_back(std::move(*value));
  }
  return pattern.empty() && path.empty() ? std::optional(std::move(parts))
                                         : std::nullopt;
}

}  // namespace

std::span<const Route> routes() {
  return kRoutes;
}

Found find_route(std::string_view method, std::string_view path) {
  Found found;
  if (!path.starts_with(kApiRoot)) {
    return found;
  }
  path.remove_prefix(kApiRoot.size());
  const std::string_view wanted = method == "HEAD" ? "GET" : method;
  for (const Route& route : kRoutes) {
    auto parts = matched(route.pattern, path);
    if (!parts) {
      continue;
    }
    found.allowed += found.allowed.empty() ? "" : ", ";
    found.allowed += route.method;
    if (wanted == route.method) {
      found.route = &route;
      found.parts = std::move(*parts);
    }
  }
  return found;
}

std::optional<std::string> query_value(const net::HttpRequest& request,
                                       std::string_view key) {
  std::string_view rest = request.query();
  while (!rest.empty()) {
    const auto end = rest.find('&');
    const std::string_view pair = rest.substr(0, end);
    rest = end == std::string_view::npos ? std::string_view()
                                         : rest.substr(end + 1);
    const auto equal = pair.find('=');
    if (pair.substr(0, equal) == key) {
      return decoded(equal == std::string_view::npos ? std::string_view()
                                                     : pair.substr(equal + 1),
                     true);
    }
  }
  return std::nullopt;
}

Access Call::access() const {
  if (!session) {
    return Access::kNobody;
  }
  switch (session->role) {
    case Role::kOwner:
      return Access::kOwner;
    case Role::kHelper:
      return Access::kHelper;
    case Role::kGuest:
      return Access::kGuest;
  }
  return Access::kNobody;
}

ChangeNote Call::note() const {
  return {backend.wall(), "console: " + session->name};
}

bool Call::wants_csv() const {
  return query_value(request, "as") == "csv" ||
         request.field("Accept").find("text/csv") != std::string::npos;
}

}  // namespace stillpoint::api
