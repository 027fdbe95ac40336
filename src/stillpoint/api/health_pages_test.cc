#include "stillpoint/api/health_pages.h"

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "stillpoint/api/api_test_support.h"
#include "stillpoint/api/metrics.h"

namespace stillpoint::api {
namespace {

using test::full_status;

net::HttpRequest request(std::string target,
                         std::vector<net::HttpField> fields = {}) {
  net::HttpRequest asked;
  asked.method = "GET";
  asked.target = std::move(target);
  asked.fields = std::move(fields);
  return asked;
}

net::HttpResponse page(const std::string& target,
                       const StationStatus& status = full_status(),
                       std::vector<net::HttpField> fields = {}) {
  return answer(request(target, std::move(fields)), [&] { return status; });
}

StationStatus silent() {
  StationStatus status = full_status();
  status.receiver.state = ReceiverState::kSilent;
  status.receiver.why = "no byte\nfor 10 s";
  return status;
}

TEST(HealthPages, SayGoodLineByLine) {
  const auto healthy = page("/healthz");
  EXPECT_EQ(healthy.status, 200);
  EXPECT_TRUE(healthy.body.starts_with("ok\nreceiver: good\narchive: good\n"))
      << healthy.body;
  EXPECT_EQ(page("/livez").body, "ok\nthreads: good\n");
  EXPECT_EQ(page("/readyz").body, "ok\nreceiver: good\nrovers: good\n");
}

TEST(HealthPages, SayWhatIsBadAndWhy) {
  const auto healthy = page("/healthz", silent());
  EXPECT_EQ(healthy.status, 503);
  EXPECT_TRUE(healthy.body.starts_with(
      "not ok\nreceiver: bad: silent: no byte for 10 s\narchive: good\n"))
      << healthy.body;
  EXPECT_EQ(page("/readyz", silent()).status, 503);
  EXPECT_EQ(page("/livez", silent()).status, 200) << "a restart would not help";
  StationStatus hanging = full_status();
  hanging.process.thread_beat_age_s["archive"] = 100;
  EXPECT_EQ(page("/livez", hanging).status, 503);
  EXPECT_EQ(page("/readyz", hanging).status, 200);
}

TEST(HealthPages, AreJsonWhereThatIsAskedFor) {
  for (const auto& response :
       {page("/healthz?json", silent()),
        page("/healthz", silent(), {{"accept", "application/json"}})}) {
    EXPECT_EQ(response.status, 503);
    EXPECT_EQ(response.content_type, "application/json");
    const auto document = nlohmann::json::parse(response.body);
    EXPECT_EQ(document["good"], false);
    EXPECT_EQ(document["checks"][0]["name"], "receiver");
    EXPECT_EQ(document["checks"][0]["good"], false);
    EXPECT_TRUE(document["checks"][1]["why"].is_null());
  }
  EXPECT_TRUE(page("/livez", silent(), {{"Accept", "text/html, */*"}})
                  .body.starts_with("ok\n"));
}

TEST(HealthPages, TheOtherPagesHaveTheirTypes) {
  const auto metrics = page("/metrics?x");
  EXPECT_EQ(metrics.content_type, "text/plain; version=0.0.4; charset=utf-8");
  EXPECT_EQ(metrics.body, metrics_text(full_status()));
  const auto status = page("/status.json");
  EXPECT_EQ(status.content_type, "application/json");
  EXPECT_EQ(nlohmann::json::parse(status.body)["station"], "LHOL00XXX");
  EXPECT_TRUE(status.body.ends_with("}\n"));
}

TEST(HealthPages, TheIndexNamesEveryPage) {
  const auto index = page("/");
  EXPECT_EQ(index.status, 200);
  for (const char* name :
       {"/healthz", "/livez", "/readyz", "/metrics", "/status.json"}) {
    EXPECT_NE(index.body.find(name), std::string::npos) << name;
    EXPECT_EQ(page(name).status, 200) << name;
  }
  for (const char* name : {"/health", "/healthz/", "//", "/METRICS", ""}) {
    EXPECT_EQ(page(name).status, 404) << name;
  }
}

// A page that nobody asked for costs nothing.
TEST(HealthPages, TheStatusIsAskedForOnce) {
  for (const char* name :
       {"/healthz", "/livez", "/readyz", "/metrics", "/status.json"}) {
    int asked = 0;
    answer(request(name), [&] {
      ++asked;
      return full_status();
    });
    EXPECT_EQ(asked, 1) << name;
  }
  answer(request("/"), []() -> StationStatus {
    ADD_FAILURE();
    return {};
  });
}

TEST(HealthPages, BytesThatAreNoUtf8AreReplaced) {
  StationStatus status = silent();
  status.receiver.why = "device \xFF";
  const auto document =
      nlohmann::json::parse(page("/status.json", status).body);
  EXPECT_EQ(document["receiver"]["why"], "device \uFFFD");
}

}  // namespace
}  // namespace stillpoint::api
