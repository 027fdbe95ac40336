#include "stillpoint/api/console/guard.h"

#include "stillpoint/api/console/cookie.h"

namespace stillpoint::api {
namespace {

bool changes(const net::HttpRequest& request) {
  return request.method != "GET" && request.method != "HEAD";
}

Problem no_session() {
  return {401,
          "no_session",
          "Nobody is signed in here, or the session has ended.",
          "Sign in.",
          "",
          {}};
}

const char* people_of(Access access) {
  return access == Access::kOwner ? "owners" : "owners and helpers";
}

}  // namespace

bool is_foreign(const net::HttpRequest& request) {
  const std::string site = request.field("Sec-Fetch-Site");
  if (!site.empty() && site != "same-origin" && site != "none") {
    return true;
  }
  const std::string origin = request.field("Origin");
  if (origin.empty()) {
    return false;
  }
  const auto behind = origin.find("://");
  return behind == std::string::npos ||
         std::string_view(origin).substr(behind + 3) != request.field("Host");
}

std::optional<Problem> guard(Call& call, const Route& route) {
  const bool change = changes(call.request);
  if (change && is_foreign(call.request)) {
    return Problem{403,
                   "foreign_origin",
                   "The request comes from another page.",
                   "Open the console itself, and do it there.",
                   "",
                   {}};
  }
  call.secret = session_secret(call.request);
  if (!call.secret.empty()) {
    auto session =
        call.backend.people().session(call.secret, call.backend.wall());
    if (!session) {
      return Problem{503,
                     "not_now",
                     "The database cannot be read: " + session.error().what,
                     "Look at the station's disk, then try again.",
                     "",
                     {}};
    }
    call.session = std::move(*session);
  }
  if (route.least == Access::kNobody) {
    return std::nullopt;
  }
  if (!call.session) {
    return no_session();
  }
  if (change && !people::is_csrf(*call.session,
                                 call.request.field("X-Stillpoint-Token"))) {
    return Problem{403,
                   "wrong_token",
                   "The session's token is missing or wrong.",
                   "Load the page anew.",
                   "",
                   {}};
  }
  if (call.access() < route.least) {
    return Problem{403,
                   "wrong_role",
                   std::string("This is for ") + people_of(route.least) + ".",
                   "Ask an owner of this station.",
                   "",
                   {}};
  }
  return std::nullopt;
}

}  // namespace stillpoint::api
