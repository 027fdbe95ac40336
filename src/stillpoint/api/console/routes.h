// Every path of the console's interface, in one table: tests walk it, so that
// none can be forgotten. docs/api.md says the same for people.
#pragma once

#include <cstddef>
#include <nlohmann/json.hpp>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/api/console/backend.h"
#include "stillpoint/api/console/problem.h"
#include "stillpoint/net/http_message.h"
#include "stillpoint/people/console_people.h"

namespace stillpoint::api {

// Who may ask, from the least on.
enum class Access : std::uint8_t { kNobody, kGuest, kHelper, kOwner };

// What a handler is given. The session is there for all but kNobody.
struct Call {
  const net::HttpRequest& request;
  ConsoleBackend& backend;
  std::optional<people::Session> session;
  std::string secret;              // of the session's cookie
  std::vector<std::string> parts;  // what stood for '*' in the pattern
  nlohmann::json body;             // an object where the route has one

  [[nodiscard]] Access access() const;
  [[nodiscard]] bool is_guest() const { return access() < Access::kHelper; }
  [[nodiscard]] const std::string& name() const { return session->name; }
  // "console: mara", for records.
  [[nodiscard]] ChangeNote note() const;
  // Whether a table is wanted in place of JSON.
  [[nodiscard]] bool wants_csv() const;
};

enum class BodyKind : std::uint8_t { kNone, kJson };

struct Route {
  const char* method;
  // Behind "/api/v1/"; '*' stands for one part, "**" at the end for the rest.
  const char* pattern;
  Access least = Access::kOwner;
  net::HttpResponse (*handler)(Call&) = nullptr;
  BodyKind body = BodyKind::kNone;
  std::size_t most_body = 0;
};

std::span<const Route> routes();

inline constexpr std::string_view kApiRoot = "/api/v1/";

struct Found {
  const Route* route = nullptr;    // nothing: no such path or method
  std::vector<std::string> parts;  // percent-decoded
  std::string allowed;             // methods of the path; empty: no such path
};

// Parts that decode to something with '/' or a control character, and empty
// ones, match nothing.
Found find_route(std::string_view method, std::string_view path);

// One value of a query, percent-decoded; nothing where it is not there.
std::optional<std::string> query_value(const net::HttpRequest& request,
                                       std::string_view key);

// Handlers, by file.
net::HttpResponse get_door(Call& call);
net::HttpResponse post_claim(Call& call);
net::HttpResponse post_session(Call& call);
net::HttpResponse delete_session(Call& call);
net::HttpResponse put_password(Call& call);
net::HttpResponse get_now(Call& call);
net::HttpResponse get_sky(Call& call);
net::HttpResponse get_stream(Call& call);
net::HttpResponse get_record(Call& call);
net::HttpResponse get_raw(Call& call);
net::HttpResponse get_logbook(Call& call);
net::HttpResponse get_coordinate(Call& call);
net::HttpResponse post_adoption(Call& call);
net::HttpResponse post_record(Call& call);
net::HttpResponse get_jobs(Call& call);
net::HttpResponse get_job(Call& call);
net::HttpResponse post_job(Call& call);
net::HttpResponse delete_job(Call& call);
net::HttpResponse get_job_report(Call& call);
net::HttpResponse get_job_log(Call& call);
net::HttpResponse get_job_file(Call& call);
net::HttpResponse get_people(Call& call);
net::HttpResponse post_person(Call& call);
net::HttpResponse patch_person(Call& call);
net::HttpResponse delete_person(Call& call);
net::HttpResponse post_rover(Call& call);
net::HttpResponse patch_rover(Call& call);
net::HttpResponse delete_rover(Call& call);

}  // namespace stillpoint::api
