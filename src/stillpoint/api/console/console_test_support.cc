#include "stillpoint/api/console/console_test_support.h"

#include <gtest/gtest.h>
#include <stdlib.h>

#include <nlohmann/json.hpp>

namespace stillpoint::api::test {
namespace {

constexpr const char* kPassword = "larch and lantern";

}  // namespace

FakeBackend::FakeBackend(std::string folder) : folder_(std::move(folder)) {
  now_at = GnssTime::from_ns(1'464'000'000'000'000'000);
  auto store = Store::open(folder_ + "/station.db");
  EXPECT_TRUE(store.has_value());
  store_ = std::make_unique<Store>(std::move(*store));
  people_ =
      std::make_unique<people::ConsolePeople>(*store_, folder_ + "/claim-code");
  facts_are.station = "LHOL00XXX";
  facts_are.place = "Larch Hollow";
  facts_are.version = "0.0";
}

NowView FakeBackend::now() {
  NowView view;
  view.status.station = facts_are.station;
  view.status.now = now_at;
  view.status.started = now_at;
  view.status.receiver.source =
      "ntrip://mara@caster.example:2101/X?password_file=/etc/secret";
  view.verdict.since = now_at;
  view.sentence = "Building.";
  return view;
}

Result<people::NewToken> FakeBackend::new_token() {
  return people::make_stream_token(people::SecretKey::random());
}

std::vector<JobView> FakeBackend::jobs() {
  std::vector<JobView> all;
  for (const auto& [id, job] : jobs_are) {
    all.push_back(job);
  }
  return all;
}

std::optional<JobView> FakeBackend::job(const std::string& id) {
  const auto found = jobs_are.find(id);
  return found == jobs_are.end() ? std::nullopt : std::optional(found->second);
}

Result<std::string> FakeBackend::ask(const JobWish& wish,
                                     const std::string& by) {
  asked = wish;
  JobView job;
  job.id = std::to_string(jobs_are.size() + 1);
  job.kind = wish.is_export ? "export" : "solve";
  job.state = "waiting";
  job.by = by;
  job.asked = now_at;
  job.start = wish.start;
  job.end = wish.end;
  jobs_are[job.id] = job;
  return job.id;
}

Status FakeBackend::cancel(const std::string& id, const std::string& /*by*/) {
  const auto found = jobs_are.find(id);
  if (found == jobs_are.end()) {
    return fail(ErrorCode::kNoData, "there is no such job");
  }
  if (found->second.state == "done") {
    return fail(ErrorCode::kUsage, "the job has ended");
  }
  found->second.state = "cancelled";
  return ok();
}

std::optional<std::string> FakeBackend::job_report(const std::string&) {
  return std::nullopt;
}

std::optional<std::string> FakeBackend::job_log(const std::string&) {
  return std::nullopt;
}

std::optional<std::string> FakeBackend::job_file(const std::string&,
                                                 const std::string&) {
  return std::nullopt;
}

std::string FakeBackend::open_claim() {
  const auto code =
      people::open_claim(*store_, folder_ + "/claim-code", {now_at, "test"});
  EXPECT_TRUE(code.has_value());
  return code->word;
}

void FakeBackend::advance(double seconds) {
  now_at = now_at + Duration{seconds};
  steady_at +=
      std::chrono::nanoseconds{static_cast<std::int64_t>(seconds * 1e9)};
}

net::HttpResponse Browser::get(const std::string& target) {
  return send("GET", target);
}

net::HttpResponse Browser::send(const std::string& method,
                                const std::string& target,
                                const std::string& body) {
  net::HttpRequest request;
  request.method = method;
  request.target = target;
  request.address = address_;
  request.body = body;
  request.fields.push_back({"Host", "127.0.0.1:8080"});
  if (!body.empty() && !fields.contains("Content-Type")) {
    request.fields.push_back({"Content-Type", "application/json"});
  }
  if (!cookie.empty()) {
    request.fields.push_back({"Cookie", cookie});
  }
  if (!token.empty() && !fields.contains("X-Stillpoint-Token")) {
    request.fields.push_back({"X-Stillpoint-Token", token});
  }
  for (const auto& [name, value] : fields) {
    request.fields.push_back({name, value});
  }
  return console_.answer(request);
}

void Browser::take(const net::HttpResponse& answer) {
  const auto document = nlohmann::json::parse(answer.body, nullptr, false);
  ASSERT_EQ(answer.status, 201) << answer.body;
  token = document.at("session").at("token");
  for (const net::HttpField& field : answer.extra) {
    if (field.name == "Set-Cookie") {
      cookie = field.value.substr(0, field.value.find(';'));
    }
  }
}

ConsoleTest::ConsoleTest() {
  std::string name =
      (std::filesystem::temp_directory_path() / "console-XXXXXX").string();
  folder = ::mkdtemp(name.data());
  backend = std::make_unique<FakeBackend>(folder.string());
  console = std::make_unique<Console>(*backend);
}

ConsoleTest::~ConsoleTest() {
  console.reset();
  backend.reset();
  std::filesystem::remove_all(folder);
}

Browser ConsoleTest::owner() {
  Browser browser(*console);
  const nlohmann::json body = {{"code", backend->open_claim()},
                               {"name", "mara"},
                               {"password", kPassword}};
  browser.take(browser.send("POST", "/api/v1/claim", body.dump()));
  return browser;
}

Browser ConsoleTest::person(Browser& owner, const std::string& role) {
  const nlohmann::json account = {
      {"name", "a " + role}, {"password", kPassword}, {"role", role}};
  EXPECT_EQ(owner.send("POST", "/api/v1/people", account.dump()).status, 201);
  Browser browser(*console);
  const nlohmann::json login = {{"name", "a " + role}, {"password", kPassword}};
  browser.take(browser.send("POST", "/api/v1/sessions", login.dump()));
  return browser;
}

}  // namespace stillpoint::api::test
