// Every route of the console against those who may not: the list is the
// program's own, so that a new route is tried as well.
#include <gtest/gtest.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "stillpoint/api/console/console_test_support.h"
#include "stillpoint/api/console/routes.h"

namespace stillpoint::api {
namespace {

using test::Browser;
using test::ConsoleTest;

std::string path_of(const Route& route) {
  std::string path = std::string(kApiRoot) + route.pattern;
  for (std::size_t at = path.find("**"); at != std::string::npos;
       at = path.find("**")) {
    path.replace(at, 2, "2026/153/00.seg");
  }
  for (std::size_t at = path.find('*'); at != std::string::npos;
       at = path.find('*')) {
    path.replace(at, 1, "one");
  }
  return path;
}

std::string body_of(const Route& route) {
  return route.body == BodyKind::kJson ? "{}" : "";
}

std::string code_of(const net::HttpResponse& answer) {
  return nlohmann::json::parse(answer.body, nullptr, false).value("code", "");
}

std::string field_of(const net::HttpResponse& answer, const char* name) {
  for (const net::HttpField& field : answer.extra) {
    if (field.name == name) {
      return field.value;
    }
  }
  return {};
}

bool changes(const Route& route) {
  return std::string_view(route.method) != "GET";
}

TEST(ConsoleAccess, NothingButTheDoorAnswersWithoutASession) {
  ConsoleTest station;
  Browser stranger(*station.console);
  int tried = 0;
  for (const Route& route : routes()) {
    if (route.least == Access::kNobody) {
      continue;
    }
    const auto answer =
        stranger.send(route.method, path_of(route), body_of(route));
    EXPECT_EQ(answer.status, 401) << route.method << ' ' << route.pattern;
    EXPECT_EQ(code_of(answer), "no_session");
    stranger.cookie = "stillpoint_session=0123456789abcdef";
    EXPECT_EQ(
        stranger.send(route.method, path_of(route), body_of(route)).status, 401)
        << route.pattern;
    stranger.cookie.clear();
    ++tried;
  }
  EXPECT_GE(tried, 25);
}

TEST(ConsoleAccess, ARoleThatDoesNotReachIsRefused) {
  ConsoleTest station;
  Browser owner = station.owner();
  Browser guest = station.person(owner, "guest");
  Browser helper = station.person(owner, "helper");
  const std::pair<Browser*, Access> roles[] = {{&guest, Access::kGuest},
                                               {&helper, Access::kHelper}};
  for (const auto& [browser, access] : roles) {
    int refused = 0;
    for (const Route& route : routes()) {
      if (route.least <= access) {
        continue;
      }
      const auto answer =
          browser->send(route.method, path_of(route), body_of(route));
      EXPECT_EQ(answer.status, 403) << route.method << ' ' << route.pattern;
      EXPECT_EQ(code_of(answer), "wrong_role");
      ++refused;
    }
    EXPECT_GT(refused, 7);
  }
}

TEST(ConsoleAccess, AChangeNeedsTheSessionsToken) {
  ConsoleTest station;
  Browser owner = station.owner();
  for (const char* token : {"", "wrong"}) {
    owner.fields["X-Stillpoint-Token"] = token;
    for (const Route& route : routes()) {
      if (!changes(route) || route.least == Access::kNobody) {
        continue;
      }
      const auto answer =
          owner.send(route.method, path_of(route), body_of(route));
      EXPECT_EQ(answer.status, 403) << route.method << ' ' << route.pattern;
      EXPECT_EQ(code_of(answer), "wrong_token");
    }
  }
}

TEST(ConsoleAccess, AForgedOriginIsRefusedEvenAtTheDoor) {
  ConsoleTest station;
  Browser owner = station.owner();
  const std::map<std::string, std::string> forged[] = {
      {{"Origin", "http://evil.example"}},
      {{"Origin", "null"}},
      {{"Origin", "http://127.0.0.1:8081"}},
      {{"Sec-Fetch-Site", "cross-site"}},
      {{"Sec-Fetch-Site", "same-site"}}};
  for (const auto& fields : forged) {
    owner.fields = fields;
    for (const Route& route : routes()) {
      if (!changes(route)) {
        continue;
      }
      const auto answer =
          owner.send(route.method, path_of(route), body_of(route));
      EXPECT_EQ(answer.status, 403) << route.method << ' ' << route.pattern;
      EXPECT_EQ(code_of(answer), "foreign_origin");
    }
  }
  owner.fields = {{"Origin", "http://127.0.0.1:8080"},
                  {"Sec-Fetch-Site", "same-origin"}};
  EXPECT_EQ(owner.send("DELETE", "/api/v1/sessions/current").status, 204);
}

TEST(ConsoleAccess, BodiesThatAreNotWhatTheyShouldBeAreNamed) {
  ConsoleTest station;
  Browser owner = station.owner();
  const char* bodies[] = {"",
                          "[]",
                          "{",
                          "7",
                          "\"x\"",
                          "{\"no_such_key\":1}",
                          "{\"name\":[1,2]}",
                          "{\"record\":\"x\",\"why\":7}"};
  for (const Route& route : routes()) {
    if (route.body != BodyKind::kJson) {
      continue;
    }
    for (const char* body : bodies) {
      owner.fields["Content-Type"] = "application/json";
      const auto answer = owner.send(route.method, path_of(route), body);
      EXPECT_TRUE(answer.status == 400 || answer.status == 404 ||
                  answer.status == 422)
          << route.method << ' ' << route.pattern << ' ' << body << ' '
          << answer.status << answer.body;
    }
    owner.fields["Content-Type"] = "text/plain";
    const auto answer = owner.send(route.method, path_of(route), "{}");
    EXPECT_TRUE(answer.status == 415 || answer.status == 404) << route.pattern;
  }
}

TEST(ConsoleAccess, EveryAnswerHasTheFieldsThatProtectThePage) {
  ConsoleTest station;
  Browser stranger(*station.console);
  std::vector<net::HttpResponse> answers;
  for (const Route& route : routes()) {
    if (route.handler != nullptr) {
      answers.push_back(
          stranger.send(route.method, path_of(route), body_of(route)));
      // Another each time: it may sign out.
      Browser owner = station.owner();
      answers.push_back(
          owner.send(route.method, path_of(route), body_of(route)));
    }
  }
  for (const char* target :
       {"/", "/nowhere", "/api/v1/nowhere", "/api/v1/", "/api/v1/now/x"}) {
    answers.push_back(stranger.get(target));
    answers.push_back(stranger.send("POST", target, "{}"));
  }
  for (const net::HttpResponse& answer : answers) {
    for (const char* name : {"Content-Security-Policy",
                             "X-Content-Type-Options",
                             "Referrer-Policy",
                             "Cross-Origin-Opener-Policy",
                             "Cross-Origin-Resource-Policy",
                             "X-Frame-Options"}) {
      EXPECT_FALSE(field_of(answer, name).empty()) << name << answer.body;
    }
  }
}

TEST(ConsoleAccess, BodiesAreAllowedWhereARouteTakesOneAndNowhereElse) {
  for (const Route& route : routes()) {
    net::HttpRequest head;
    head.method = route.method;
    head.target = path_of(route);
    const std::size_t most = Console::most_body(head);
    EXPECT_EQ(most, route.most_body);
    EXPECT_EQ(most > 0, route.body == BodyKind::kJson);
    EXPECT_LE(most, std::size_t{4} << 20U);
  }
  net::HttpRequest page;
  page.method = "POST";
  page.target = "/";
  EXPECT_EQ(Console::most_body(page), 0U);
}

TEST(ConsoleAccess, PathsAreTakenApartWithCare) {
  EXPECT_EQ(find_route("GET", "/api/v1/jobs/a%2Fb").route, nullptr);
  EXPECT_EQ(find_route("GET", "/api/v1/jobs/").route, nullptr);
  EXPECT_EQ(find_route("GET", "/api/v1/jobs/%00").route, nullptr);
  EXPECT_EQ(find_route("GET", "/api/v1/jobs/%zz").route, nullptr);
  const Found named = find_route("GET", "/api/v1/jobs/7/files/a%20b.rnx");
  ASSERT_NE(named.route, nullptr);
  EXPECT_EQ(named.parts, (std::vector<std::string>{"7", "a b.rnx"}));
  const Found wrong = find_route("PUT", "/api/v1/jobs");
  EXPECT_EQ(wrong.route, nullptr);
  EXPECT_EQ(wrong.allowed, "GET, POST");
  EXPECT_NE(find_route("HEAD", "/api/v1/now").route, nullptr);
}

TEST(ConsoleAccess, NothingLeavesTheFolderOfRawData) {
  ConsoleTest station;
  Browser owner = station.owner();
  std::filesystem::create_directories(station.folder / "raw/2026/153");
  for (const char* path : {"../station.db",
                           "2026/153/../../../station.db",
                           "2026%2F153%2F..%2F..%2F..%2Fstation.db",
                           "2026/153/00.seg/../../../../station.db",
                           "%2e%2e/station.db",
                           "2026/153/00.txt"}) {
    EXPECT_EQ(owner.get(std::string("/api/v1/record/raw/") + path).status, 404)
        << path;
  }
}

TEST(ConsoleAccess, AGuestSeesNoPlaceNoAddressAndNoName) {
  ConsoleTest station;
  station.backend->stream_is.rovers.push_back(
      {"ditch-1", "LHOL", "10.0.0.7", station.backend->now_at, 5});
  station.backend->stream_is.arp_m = Ecef{4'280'000, 670'000, 4'660'000};
  station.backend->live_is =
      LiveView{{4'280'000, 670'000, 4'660'000}, {1, 1, 1}, 3, {}, {}, {}};
  Browser owner = station.owner();
  Browser guest = station.person(owner, "guest");
  for (const char* room :
       {"now", "sky", "coordinate", "stream", "record", "logbook", "jobs"}) {
    const auto answer = guest.get(std::string("/api/v1/") + room);
    EXPECT_EQ(answer.status, 200) << room << answer.body;
    for (const char* secret : {"10.0.0.7", "ditch-1", "4280000", "mara"}) {
      EXPECT_EQ(answer.body.find(secret), std::string::npos)
          << room << ' ' << secret << ' ' << answer.body;
    }
  }
  const auto stream = owner.get("/api/v1/stream");
  EXPECT_NE(stream.body.find("10.0.0.7"), std::string::npos);
  EXPECT_NE(stream.body.find("ditch-1"), std::string::npos);
}

}  // namespace
}  // namespace stillpoint::api
