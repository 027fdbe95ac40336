#include "stillpoint/api/console/console.h"

#include <algorithm>
#include <array>
#include <list>
#include <optional>
#include <utility>

#include "stillpoint/api/console/bundle.h"
#include "stillpoint/api/console/documents.h"
#include "stillpoint/api/console/guard.h"
#include "stillpoint/api/console/json_body.h"
#include "stillpoint/api/console/routes.h"
#include "stillpoint/net/http_stream.h"

namespace stillpoint::api {
namespace {

using std::chrono::nanoseconds;

constexpr nanoseconds kNowEvery = std::chrono::seconds{1};
constexpr nanoseconds kSkyEvery = std::chrono::seconds{5};
constexpr nanoseconds kSessionEvery = std::chrono::seconds{5};

constexpr std::array kTopics{
    "coordinate", "stream", "record", "logbook", "jobs"};

std::string event_text(const char* kind, const std::string& data) {
  std::string text = "event: ";
  text += kind;
  text += "\ndata: ";
  text += data;
  text += "\n\n";
  return text;
}

Problem not_found() {
  return {404, "not_found", "There is nothing at this place.", "", "", {}};
}

}  // namespace

void add_security_fields(net::HttpResponse& answer) {
  const auto add = [&](const char* name, const char* value) {
    const bool there = std::any_of(
        answer.extra.begin(), answer.extra.end(), [&](const net::HttpField& f) {
          return f.name == name;
        });
    if (!there) {
      answer.extra.push_back({name, value});
    }
  };
  add("Content-Security-Policy",
      "default-src 'self'; base-uri 'none'; form-action 'self'; "
      "frame-ancestors 'none'; object-src 'none'");
  add("X-Content-Type-Options", "nosniff");
  add("Referrer-Policy", "no-referrer");
  add("Cross-Origin-Opener-Policy", "same-origin");
  add("Cross-Origin-Resource-Policy", "same-origin");
  add("X-Frame-Options", "DENY");
}

struct Console::State {
  // An open page.
  struct Page {
    std::shared_ptr<net::HttpStream> stream;
    std::string secret;  // of its session
    nanoseconds looked_at{0};
  };

  explicit State(ConsoleBackend& b) : backend(b) {}

  net::HttpResponse answer(const net::HttpRequest& request);
  net::HttpResponse api_answer(const net::HttpRequest& request);
  net::HttpResponse open_events(const Call& call);
  void drop_ended(nanoseconds now);
  void send(const std::string& text);

  ConsoleBackend& backend;
  std::list<Page> pages;
  nanoseconds now_at{0}, sky_at{0};
  std::array<bool, kTopics.size()> changed{};
};

net::HttpResponse Console::State::answer(const net::HttpRequest& request) {
  if (request.path().starts_with(kApiRoot)) {
    return api_answer(request);
  }
  if (request.method != "GET" && request.method != "HEAD") {
    net::HttpResponse answer = problem_answer(
        {405, "wrong_method", "The page can only be read.", "", "", {}});
    answer.extra.push_back({"Allow", "GET, HEAD"});
    return answer;
  }
  if (auto page = bundle_answer(request)) {
    return std::move(*page);
  }
  return problem_answer(not_found());
}

net::HttpResponse Console::State::api_answer(const net::HttpRequest& request) {
  Found found = find_route(request.method, request.path());
  if (found.route == nullptr) {
    if (found.allowed.empty()) {
      return problem_answer(not_found());
    }
    net::HttpResponse answer =
        problem_answer({405, "wrong_method", "Not in this way.", "", "", {}});
    answer.extra.push_back({"Allow", found.allowed});
    return answer;
  }
  Call call{request, backend, std::nullopt, {}, std::move(found.parts), {}};
  if (const auto problem = guard(call, *found.route)) {
    return problem_answer(*problem);
  }
  if (found.route->body == BodyKind::kJson) {
    if (const auto problem = read_json_body(request, call.body)) {
      return problem_answer(*problem);
    }
  }
  if (found.route->handler == nullptr) {
    return open_events(call);
  }
  return found.route->handler(call);
}

net::HttpResponse Console::State::open_events(const Call& call) {
  net::HttpResponse answer;
  answer.content_type = "text/event-stream";
  if (call.request.method == "HEAD") {
    return answer;
  }
  auto stream = std::make_shared<net::HttpStream>();
  const ConsoleFacts facts = backend.facts();
  stream->send(event_text("hello",
                          json_text({{"version", facts.version},
                                     {"bundle", std::string(bundle_id())}})));
  stream->send(event_text(
      "now", json_text(now_document(backend.now(), facts.simulated))));
  stream->send(event_text(
      "sky", json_text(sky_document(backend.sky(), backend.data_now()))));
  pages.push_back({stream, call.secret, backend.steady()});
  answer.stream = std::move(stream);
  return answer;
}

// Pages that have gone, and those whose session has ended.
void Console::State::drop_ended(nanoseconds now) {
  for (auto page = pages.begin(); page != pages.end();) {
    bool ended = !page->stream->open();
    if (!ended && now - page->looked_at >= kSessionEvery) {
      page->looked_at = now;
      const auto session =
          backend.people().session(page->secret, backend.wall());
      if (session && !*session) {
        page->stream->send(event_text("bye", "{}"));
        page->stream->close();
        ended = true;
      }
    }
    page = ended ? pages.erase(page) : std::next(page);
  }
}

void Console::State::send(const std::string& text) {
  for (const Page& page : pages) {
    page.stream->send(text);
  }
}

Console::Console(ConsoleBackend& backend)
    : state_(std::make_unique<State>(backend)) {}

Console::~Console() = default;

net::HttpResponse Console::answer(const net::HttpRequest& request) {
  net::HttpResponse answer = state_->answer(request);
  add_security_fields(answer);
  return answer;
}

std::size_t Console::most_body(const net::HttpRequest& head) {
  const Found found = find_route(head.method, head.path());
  return found.route == nullptr ? 0 : found.route->most_body;
}

void Console::shape_refusal(net::HttpResponse& answer) {
  Problem problem;
  problem.status = answer.status;
  switch (answer.status) {
    case 405:
    case 501:
      problem.code = "wrong_method";
      problem.detail = "Not in this way.";
      break;
    case 413:
      problem.code = "too_large";
      problem.detail = "The body is longer than it may be here.";
      break;
    case 503:
      problem.code = "not_now";
      problem.detail = "Too many are connected at present.";
      problem.remedy = "Try again in some seconds.";
      break;
    default:
      problem.code = "malformed";
      problem.detail = "This is no request that can be understood.";
  }
  std::vector<net::HttpField> extra = std::move(answer.extra);
  answer = problem_answer(problem);
  answer.extra.insert(answer.extra.end(), extra.begin(), extra.end());
  add_security_fields(answer);
}

void Console::tick() {
  State& s = *state_;
  const nanoseconds now = s.backend.steady();
  s.drop_ended(now);
  if (s.pages.empty()) {
    s.changed = {};
    return;
  }
  if (now - s.now_at >= kNowEvery) {
    s.now_at = now;
    s.send(event_text(
        "now",
        json_text(now_document(s.backend.now(), s.backend.facts().simulated))));
    Json topics = Json::array();
    for (std::size_t i = 0; i < kTopics.size(); ++i) {
      if (std::exchange(s.changed.at(i), false)) {
        topics.push_back(kTopics.at(i));
      }
    }
    if (!topics.empty()) {
      s.send(event_text("changed", json_text({{"what", std::move(topics)}})));
    }
  }
  if (now - s.sky_at >= kSkyEvery) {
    s.sky_at = now;
    s.send(event_text(
        "sky", json_text(sky_document(s.backend.sky(), s.backend.data_now()))));
  }
}

void Console::changed(Topic topic) {
  state_->changed.at(static_cast<std::size_t>(topic)) = true;
}

void Console::close() {
  for (const State::Page& page : state_->pages) {
    page.stream->close();
  }
  state_->pages.clear();
}

std::size_t Console::streams() const {
  return state_->pages.size();
}

}  // namespace stillpoint::api
