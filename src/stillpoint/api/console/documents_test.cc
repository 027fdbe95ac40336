// Values into documents: rounding, tables, what a guest is not told.
#include "stillpoint/api/console/documents.h"

#include <gtest/gtest.h>

#include <limits>

#include "stillpoint/api/console/csv.h"
#include "stillpoint/api/console/json_body.h"

namespace stillpoint::api {
namespace {

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();

TEST(JsonAnswer, NumbersAreRoundedAndWhatIsNoneIsNull) {
  EXPECT_EQ(rounded(1.23456, 1e-3), Json(1.235));
  EXPECT_EQ(rounded(17.4, 1), Json(17.0));
  EXPECT_TRUE(rounded(kNan, 1e-3).is_null());
  EXPECT_TRUE(number_or_null(std::nullopt).is_null());
  EXPECT_EQ(ecef_json({4282250.12344, 1, -2.00006}).dump(),
            "[4282250.1234,1.0,-2.0001]");
}

TEST(JsonAnswer, TimesAreWholeSecondsTowardsThePast) {
  // kind: exact; source: GPST is 18 s ahead of UTC since 2017 (checks 9)
  const GnssTime t = GnssTime::from_ns(1'464'000'018'900'000'000);
  EXPECT_EQ(time_text(t), "2026-05-28T10:40:00Z");
}

TEST(Csv, QuotesAndFormulasDoNoHarm) {
  const Json rows = Json::array({{{"a", "x\"y"}, {"n", 1.5}, {"none", nullptr}},
                                 {{"a", "=cmd()"}, {"n", 2}, {"none", true}}});
  const auto answer = csv_answer(rows, "t.csv");
  EXPECT_EQ(answer.body,
            "a,n,none\r\n\"x\"\"y\",1.5,\r\n\"'=cmd()\",2,true\r\n");
  EXPECT_TRUE(csv_answer(Json::array(), "t.csv").body.empty());
}

TEST(JsonBody, TheFirstMistakeIsNamedWithItsField) {
  const auto problem_of = [](const char* text, auto&& read) {
    const auto json = nlohmann::json::parse(text);
    JsonBody body(json);
    read(body);
    return body.finish();
  };
  const auto name = [](JsonBody& b) { b.text("name"); };
  EXPECT_FALSE(problem_of(R"({"name":"x"})", name));
  EXPECT_EQ(problem_of(R"({})", name)->field, "name");
  EXPECT_EQ(problem_of(R"({"name":7})", name)->field, "name");
  EXPECT_EQ(problem_of(R"({"name":"x","more":1})", name)->field, "more");
  const auto three = [](JsonBody& b) { b.three("v"); };
  EXPECT_FALSE(problem_of(R"({"v":[1,2,3.5]})", three));
  for (const char* text : {R"({"v":[1,2]})",
                           R"({"v":[1,2,"3"]})",
                           R"({"v":7})",
                           R"({"v":[1,2,1e999]})"}) {
    const auto json = nlohmann::json::parse(text, nullptr, false);
    if (!json.is_discarded()) {
      EXPECT_TRUE(problem_of(text, three)) << text;
    }
  }
  const auto time = [](JsonBody& b) { b.time("t"); };
  EXPECT_FALSE(problem_of(R"({"t":"2026-06-02T10:00:00Z"})", time));
  EXPECT_TRUE(problem_of(R"({"t":"yesterday"})", time));
  const auto limit = [](JsonBody& b) { b.limit("m"); };
  EXPECT_FALSE(problem_of(R"({"m":null})", limit));
  EXPECT_FALSE(problem_of(R"({"m":0})", limit));
  EXPECT_TRUE(problem_of(R"({"m":-1})", limit));
  EXPECT_TRUE(problem_of(R"({"m":1.5})", limit));
}

TEST(SkyDocument, SatellitesWithoutAPlaceAreListedAllTheSame) {
  quality::SkySnapshot sky;
  sky.satellites = {
      {{System::kGps, 5}, AzEl{1.0, 0.5}, true, {{{'1', 'C'}, 44.26}}},
      {{System::kGps, 7}, AzEl{2.0, 0.1}, false, {}},
      {{System::kGlonass, 9}, std::nullopt, true, {}}};
  const Json document = sky_document(sky, GnssTime{});
  EXPECT_EQ(document["satellites"][0]["azimuth_deg"], 57.3);
  EXPECT_EQ(document["satellites"][0]["signals"][0]["cn0_dbhz"], 44.3);
  EXPECT_TRUE(document["satellites"][2]["azimuth_deg"].is_null());
  EXPECT_EQ(document["systems"].dump(),
            R"([{"system":"G","seen":1,"above":2},)"
            R"({"system":"R","seen":1,"above":0}])");
  EXPECT_EQ(document["cn0"]["mean_dbhz"][5], 44.3);  // 28.6 degrees
}

}  // namespace
}  // namespace stillpoint::api
