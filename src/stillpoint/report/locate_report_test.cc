#include <gtest/gtest.h>

#include <limits>
#include <nlohmann/json.hpp>

#include "stillpoint/report/locate_json.h"
#include "stillpoint/report/locate_text.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::report {
namespace {

solve::Solution solved() {
  solve::Solution s;
  s.status = solve::SolveStatus::kConverged;
  s.why = "settled";
  FramedPosition p;
  p.ecef = to_ecef({0.8255, 0.1553, 512.0});
  p.frame.name = "IGb14";
  p.epoch = GnssTime::from_gps_week(2300, 43'200);
  p.covariance_m2 = {0.01, 0, 0, 0, 0.01, 0, 0, 0, 0.04};
  s.position = p;
  s.sigma_enu_m = {0.1234567, 0.2, 1.5};
  s.sigma_without_calibration_enu_m = {0.1, 0.2, 1.4};
  s.first = p.epoch - Duration{43'200};
  s.last = p.epoch + Duration{43'200};
  s.counts.epochs = s.counts.epochs_seen = 2880;
  s.counts.observations = 900;
  s.counts.rejected = 100;
  s.counts.satellites[System::kGps] = 31;
  s.counts.excluded[{System::kGalileo, 14}][0] = 7;
  s.warnings.push_back({"frame_unknown", "a sentence", std::nullopt});
  return s;
}

LocateContext context() {
  LocateContext c;
  c.method = "code";
  c.marker_name = "LHOL00XXX";
  c.antenna_type = "SPDEMO-A1       NONE";
  c.inputs.push_back({"day.rnx", std::string(64, '0')});
  c.version = "test";
  return c;
}

TEST(LocateJson, NumbersAreRoundedAndUnknownIsNull) {
  const auto d = locate_json(solved(), context());
  EXPECT_EQ(d["schema_version"], 1);
  EXPECT_EQ(d["status"], "converged");
  EXPECT_EQ(d["position"]["sigma_enu_m"][0].dump(), "0.12346");
  EXPECT_EQ(d["position"]["point"], "marker");
  EXPECT_EQ(d["position"]["epoch"], format_utc(solved().position->epoch));
  EXPECT_TRUE(d["used"]["slips"].is_null());
  EXPECT_TRUE(d["residuals"]["phase_rms_m"].is_null());
  EXPECT_TRUE(d["warnings"][0]["size_m"].is_null());
  EXPECT_EQ(d["used"]["satellites"]["G"], 31);
  EXPECT_EQ(d["span"]["epochs_seen"], 2880);
  EXPECT_EQ(d["excluded"][0]["satellite"], "E14");
  EXPECT_EQ(d["excluded"][0]["reason"], "no_orbit");
  EXPECT_FALSE(d.contains("error"));
}

TEST(LocateJson, FailedHasNoPositionAndAnErrorKey) {
  solve::Solution s;
  s.why = "no epoch";
  const auto d = locate_json(s, context());
  EXPECT_TRUE(d["position"].is_null());
  EXPECT_EQ(d["error"]["code"], "no_data");
  EXPECT_EQ(d["error"]["what"], "no epoch");
  EXPECT_TRUE(d["residuals"]["code_rms_m"].is_null());
}

TEST(LocateJson, NamesThatAreNotUtf8AreShownNotFatal) {
  LocateContext c = context();
  c.marker_name = "LH\xff\xfeL";
  EXPECT_NE(to_text(locate_json(solved(), c)).find("LH"), std::string::npos);
}

TEST(ErrorJson, FallsBackToTheRemedyOfItsKind) {
  const auto d = error_json({ErrorCode::kTruncated, "cut", "day.rnx:7", ""});
  EXPECT_EQ(d["error"]["where"], "day.rnx:7");
  EXPECT_EQ(d["error"]["remedy"], default_remedy(ErrorCode::kTruncated));
}

TEST(LocateText, SaysWhereHowSureInWhichFrameAndWhatNext) {
  const std::string text = locate_text(solved(), context());
  for (const char* word : {"LHOL00XXX",
                           "47.297",
                           "IGb14",
                           "12 cm east",
                           "1.5 m up",
                           "31 GPS",
                           "(10.0",
                           "7 of 1 satellites without an orbit",
                           "Limited by",
                           "Next",
                           "not a survey certificate"}) {
    EXPECT_NE(text.find(word), std::string::npos) << word << "\n" << text;
  }
  for (std::size_t begin = 0; begin < text.size();) {
    const std::size_t end = text.find('\n', begin);
    EXPECT_LE(end - begin, 78U) << text.substr(begin, end - begin);
    begin = end + 1;
  }
}

TEST(LocateJson, IntegersAreCountedAndNullWithoutASearch) {
  solve::Solution s = solved();
  auto d = locate_json(s, context())["ambiguities"];
  EXPECT_EQ(d["fixed"], 0);
  EXPECT_TRUE(d["ratio"].is_null());
  EXPECT_TRUE(d["integers_from"].is_null());
  s.ambiguities = 40;
  s.ambiguities_fixed = 37;
  s.ambiguity_ratio = 3.14159;
  s.integers_from = "phase biases of the bias product";
  s.fixed = true;
  d = locate_json(s, context())["ambiguities"];
  EXPECT_EQ(d["total"], 40);
  EXPECT_EQ(d["fixed"], 37);
  EXPECT_EQ(d["ratio"].dump(), "3.14");
  EXPECT_EQ(d["integers_from"], "phase biases of the bias product");
  s.ambiguity_ratio = std::numeric_limits<double>::infinity();
  d = locate_json(s, context())["ambiguities"];
  EXPECT_TRUE(d["ratio"].is_null());
}

TEST(LocateText, SaysHowManyIntegersStandOrWhyNone) {
  solve::Solution s = solved();
  s.phase_rms_m = 0.006;
  s.ambiguities = 40;
  s.integers_from = "the products say nothing of phase biases";
  EXPECT_NE(locate_text(s, context()).find("none are kept (the products"),
            std::string::npos);
  s.fixed = true;
  s.ambiguities_fixed = 37;
  s.ambiguity_ratio = 3.1;
  const std::string text = locate_text(s, context());
  EXPECT_NE(text.find("37 of 40 ambiguities"), std::string::npos) << text;
  EXPECT_NE(text.find("3.1 times"), std::string::npos) << text;
}

TEST(LocateText, WithoutAPositionSaysWhy) {
  solve::Solution s;
  s.why = "no orbit for any satellite";
  const std::string text = locate_text(s, context());
  EXPECT_NE(text.find("no position"), std::string::npos);
  EXPECT_NE(text.find("no orbit for any satellite"), std::string::npos);
}

TEST(LocateText, DoubtfulPositionIsNotOfferedForUse) {
  solve::Solution s = solved();
  s.status = solve::SolveStatus::kNotConverged;
  s.why = "the antenna moved";
  const std::string text = locate_text(s, context());
  EXPECT_NE(text.find("NOT a position"), std::string::npos);
  EXPECT_NE(text.find("do not use"), std::string::npos);
}

}  // namespace
}  // namespace stillpoint::report
