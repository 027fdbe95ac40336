// kind: cross   source: what the writer of the document was given
#include "stillpoint/report/record_document.h"

#include <gtest/gtest.h>

#include <functional>
#include <nlohmann/json.hpp>

#include "stillpoint/report/locate_json.h"
#include "stillpoint/report/record_points.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::report {
namespace {

using Json = nlohmann::ordered_json;

solve::Solution solved() {
  solve::Solution s;
  s.status = solve::SolveStatus::kConverged;
  s.why = "settled";
  FramedPosition p;
  p.ecef = to_ecef({0.8255, 0.1553, 512.0});
  p.frame.name = "IGS20";
  p.epoch = GnssTime::from_gps_week(2300, 43'200);
  p.covariance_m2 = {4e-6, 1e-6, 2e-7, 1e-6, 5e-6, 3e-7, 2e-7, 3e-7, 9e-6};
  s.position = p;
  s.first = p.epoch - Duration{43'200};
  s.last = p.epoch + Duration{43'170};
  return s;
}

Json document() {
  LocateContext c;
  c.method = "ppp-fixed";
  c.marker_name = "LHOL00XXX";
  c.antenna_type = "SPDEMO-A1       NONE";
  c.antenna_delta_enu_m = {0.001, -0.002, 1.234};
  c.inputs = {
      {"day.rnx", std::string(64, '0')},
      {"p/XXX0OPSFIN_20240340000_01D_05M_ORB.SP3.gz", std::string(64, '1')}};
  c.version = "0.1.0";
  return locate_json(solved(), c);
}

Result<PositionRecord> parse(const std::string& text) {
  return parse_record_document(text, std::string(64, 'a'), "record.json");
}

TEST(RecordDocument, WhatLocateWroteBecomesARecord) {
  const std::string text = to_text(document());
  const auto record = parse(text);
  ASSERT_TRUE(record.has_value()) << record.error().text();
  EXPECT_EQ(record->origin, RecordOrigin::kImported);
  EXPECT_EQ(record->method, "ppp-fixed");
  EXPECT_EQ(record->products, "final");
  EXPECT_EQ(record->position.frame.name, "IGS20");
  EXPECT_EQ(record->position.epoch, solved().position->epoch);
  EXPECT_EQ(record->position.point, Point::kMarker);
  // tolerance: 5e-6 m, the document has hundredths of a millimetre
  EXPECT_NEAR(record->position.ecef.x_m, solved().position->ecef.x_m, 6e-6);
  EXPECT_EQ(record->position.covariance_m2, solved().position->covariance_m2);
  EXPECT_EQ(record->antenna_type, "SPDEMO-A1       NONE");
  EXPECT_EQ(record->delta_enu_m, (std::array<double, 3>{0.001, -0.002, 1.234}));
  EXPECT_EQ(record->first, solved().first);
  EXPECT_EQ(record->end, solved().last);
  EXPECT_EQ(record->document, text);
  EXPECT_EQ(record->document_sha256, std::string(64, 'a'));
  EXPECT_EQ(record->program_version, "0.1.0");
}

TEST(RecordDocument, OtherNamesOfAFrameBecomeItsOwn) {
  Json d = document();
  d["position"]["frame"] = " itr14 ";
  EXPECT_EQ(parse(d.dump())->position.frame.name, "ITRF2014");
  d["position"]["frame"] = "Somewhere 3";
  EXPECT_EQ(parse(d.dump())->position.frame.name, "Somewhere 3");
}

struct Damage {
  const char* named;
  std::function<void(Json&)> done;
  ErrorCode code = ErrorCode::kBadFormat;
};

TEST(RecordDocument, EveryDamageIsNamedByItsKey) {
  const std::vector<Damage> damages{
      {"schema_version", [](Json& d) { d.erase("schema_version"); }},
      {"schema_version",
       [](Json& d) { d["schema_version"] = 2; },
       ErrorCode::kUnsupported},
      {"status", [](Json& d) { d["status"] = 7; }},
      {"status", [](Json& d) { d["status"] = "well"; }},
      {"method", [](Json& d) { d["method"] = "guess"; }},
      {"method", [](Json& d) { d["method"] = nullptr; }},
      {"position", [](Json& d) { d.erase("position"); }},
      {"position", [](Json& d) { d["position"] = nullptr; }},
      {"position.ecef_m", [](Json& d) { d["position"].erase("ecef_m"); }},
      {"position.ecef_m",
       [](Json& d) {
         d["position"]["ecef_m"] = {1, 2};
       }},
      {"position.ecef_m", [](Json& d) { d["position"]["ecef_m"][1] = "1"; }},
      {"position.ecef_m", [](Json& d) { d["position"]["ecef_m"][1] = 1e9; }},
      {"position.frame", [](Json& d) { d["position"]["frame"] = ""; }},
      {"position.frame",
       [](Json& d) { d["position"]["frame"] = nullptr; },
       ErrorCode::kFrameUnknown},
      {"position.epoch", [](Json& d) { d["position"]["epoch"] = "later"; }},
      {"position.epoch",
       [](Json& d) { d["position"]["epoch"] = "2024-05-08T10:00:00"; }},
      {"position.point",
       [](Json& d) { d["position"]["point"] = "phase_centre"; }},
      {"position.covariance_ecef_m2",
       [](Json& d) { d["position"]["covariance_ecef_m2"].erase(2); }},
      {"position.covariance_ecef_m2",
       [](Json& d) { d["position"]["covariance_ecef_m2"][2].erase(2); }},
      {"position.covariance_ecef_m2",
       [](Json& d) { d["position"]["covariance_ecef_m2"][0][1] = 1e-3; }},
      {"position.covariance_ecef_m2",
       [](Json& d) { d["position"]["covariance_ecef_m2"][0][0] = -1e-6; }},
      {"antenna", [](Json& d) { d["antenna"] = "none"; }},
      {"antenna.type", [](Json& d) { d["antenna"]["type"] = 1; }},
      {"antenna.delta_enu_m",
       [](Json& d) { d["antenna"]["delta_enu_m"] = 1.2; }},
      {"span", [](Json& d) { d.erase("span"); }},
      {"span.first", [](Json& d) { d["span"]["first"] = 3; }},
      {"span", [](Json& d) { d["span"]["last"] = nullptr; }},
      {"span",
       [](Json& d) { std::swap(d["span"]["first"], d["span"]["last"]); }},
      {"without", [](Json& d) { d["without"] = "nothing"; }},
      {"without",
       [](Json& d) { d["without"] = {"shapiro"}; },
       ErrorCode::kNoData},
      {"inputs", [](Json& d) { d["inputs"] = 1; }},
      {"inputs", [](Json& d) { d["inputs"][0].erase("path"); }},
      {"version", [](Json& d) { d.erase("version"); }},
  };
  for (const Damage& damage : damages) {
    Json d = document();
    damage.done(d);
    const auto record = parse(d.dump());
    ASSERT_FALSE(record.has_value()) << damage.named;
    EXPECT_EQ(record.error().code, damage.code) << record.error().text();
    EXPECT_NE(record.error().what.find(damage.named), std::string::npos)
        << record.error().what << " / " << damage.named;
    EXPECT_EQ(record.error().where, "record.json");
    EXPECT_FALSE(record.error().remedy.empty());
  }
}

TEST(RecordDocument, OnlyAConvergedSolutionBecomesARecord) {
  for (const char* status : {"not_converged", "failed"}) {
    Json d = document();
    d["status"] = status;
    d["why"] = "an hour is too short";
    const auto record = parse(d.dump());
    ASSERT_FALSE(record.has_value());
    EXPECT_EQ(record.error().code, ErrorCode::kNoData);
    EXPECT_NE(record.error().what.find("an hour is too short"),
              std::string::npos);
    EXPECT_NE(record.error().remedy.find("record longer"), std::string::npos);
  }
}

TEST(RecordDocument, WhatIsNoDocumentIsRefused) {
  const std::string good = to_text(document());
  for (const std::string& text : {std::string(),
                                  std::string("[]"),
                                  std::string("7"),
                                  std::string("{"),
                                  good + good,
                                  good.substr(0, good.size() / 2),
                                  std::string(1 << 20, '['),
                                  std::string("{\"a\":\"\xff\"}")}) {
    const auto record = parse(text);
    ASSERT_FALSE(record.has_value()) << text.substr(0, 40);
    EXPECT_EQ(record.error().code, ErrorCode::kBadFormat);
  }
  const auto large = parse(std::string(kMostDocumentBytes + 1, ' '));
  ASSERT_FALSE(large.has_value());
  EXPECT_EQ(large.error().code, ErrorCode::kTooLarge);
}

TEST(RecordDocument, EveryCutIsRefused) {
  const std::string good = to_text(document());
  for (std::size_t size = 0; size + 2 < good.size(); ++size) {
    EXPECT_FALSE(parse(good.substr(0, size)).has_value()) << size;
  }
}

const char* class_of(const std::vector<const char*>& paths) {
  ProductClass products;
  for (const char* path : paths) {
    products.add(path);
  }
  return products.name();
}

TEST(ProductClass, IsThePoorestOfTheOrbitsAndClocks) {
  EXPECT_STREQ(class_of({}), "broadcast");
  EXPECT_STREQ(class_of({"day.rnx", "brdc.24n"}), "broadcast");
  EXPECT_STREQ(class_of({"XXX0OPSFIN_20240340000_01D_05M_ORB.SP3"}), "final");
  EXPECT_STREQ(class_of({"a/XXX0MGXFIN_20240340000_01D_05M_ORB.SP3.gz",
                         "a/XXX0MGXRAP_20240340000_01D_30S_CLK.CLK.gz"}),
               "rapid");
  EXPECT_STREQ(class_of({"XXX0OPSULT_20240340000_02D_15M_ORB.SP3"}), "ultra");
  EXPECT_STREQ(class_of({"igs23002.sp3.Z"}), "final");
  EXPECT_STREQ(class_of({"igr23002.sp3"}), "rapid");
  EXPECT_STREQ(class_of({"igu23002_18.sp3"}), "ultra");
  EXPECT_STREQ(class_of({"orbits.sp3", "igs23002.clk"}), "precise");
}

TEST(RecordPoints, TheMarkerIsBelowTheReferencePoint) {
  PositionRecord record;
  record.position = *solved().position;
  record.delta_enu_m = {0.1, -0.2, 1.5};
  const FramedPosition arp = arp_of(record);
  const Enu up = to_enu(arp.ecef, record.position.ecef);
  // tolerance: 1e-8 m, rounding of coordinates of 5e6 m
  EXPECT_NEAR(up.e_m, 0.1, 1e-8);
  EXPECT_NEAR(up.n_m, -0.2, 1e-8);
  EXPECT_NEAR(up.u_m, 1.5, 1e-8);
  EXPECT_EQ(arp.point, Point::kArp);
  record.position = arp;
  const FramedPosition marker = marker_of(record);
  EXPECT_NEAR(norm(marker.ecef - solved().position->ecef), 0, 1e-6);
  EXPECT_EQ(marker.point, Point::kMarker);
}

}  // namespace
}  // namespace stillpoint::report
