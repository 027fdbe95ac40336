// kind: cross   source: offsets that the test itself put in
#include "stillpoint/report/candidates_compare.h"

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <random>

#include "stillpoint/report/candidates_text.h"
#include "stillpoint/report/candidates_warn.h"
#include "stillpoint/report/record_json.h"
#include "stillpoint/report/record_points.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::report {
namespace {

const GnssTime kDay = GnssTime::from_gps_week(2300, 43'200);
const Ecef kMarker = to_ecef({0.8255, 0.1553, 512.0});

// A record whose marker is `off` from the true one.
StoredRecord record(std::int64_t id,
                    const Enu& off = {},
                    double sigma_m = 0.003,
                    const char* method = "ppp-fixed") {
  StoredRecord s;
  s.id = id;
  s.added = kDay + Duration{static_cast<double>(id)};
  s.by = "command line";
  PositionRecord& r = s.record;
  r.method = method;
  r.products = "final";
  r.position.frame.name = "IGS20";
  r.position.epoch = kDay;
  r.position.ecef = from_enu(off, kMarker);
  const double v = sigma_m * sigma_m;
  r.position.covariance_m2 = {v, 0, 0, 0, v, 0, 0, 0, v};
  r.first = kDay - Duration{43'200};
  r.end = kDay + Duration{43'200};
  return s;
}

CandidateQuestion adopted(std::int64_t id) {
  CandidateQuestion q;
  q.adopted = id;
  return q;
}

const CandidateRow& row_of(const CandidateTable& table, std::int64_t id) {
  for (const CandidateRow& row : table.rows) {
    if (row.stored.id == id) {
      return row;
    }
  }
  ADD_FAILURE() << "no row " << id;
  return table.rows.front();
}

bool warns(const CandidateTable& table, std::string_view code) {
  for (const solve::Warning& w : table.warnings) {
    if (w.code == code) {
      EXPECT_TRUE(w.size_m.has_value()) << code;
      return true;
    }
  }
  return false;
}

TEST(Candidates, NoRecordsAreAnEmptyTable) {
  const CandidateTable table = compare_records({}, {});
  EXPECT_TRUE(table.rows.empty());
  EXPECT_FALSE(table.adopted || table.best || table.reference);
  EXPECT_TRUE(candidates_json(table)["frame"].is_null());
  EXPECT_NE(candidates_text(table).find("--add"), std::string::npos);
}

// kind: cross   source: the offset put in; tolerance: 1e-6 m, the curvature of
// the Earth over 3 mm and rounding
TEST(Candidates, DifferencesAreThoseOfTheMarkersToTheAdopted) {
  StoredRecord at_arp = record(2, {0.003, -0.002, 0.004});
  at_arp.record.delta_enu_m = {0, 0, 1.2};
  at_arp.record.position =
      point_of(at_arp.record.position, {0, 0, 1.2}, Point::kArp);
  const CandidateTable table = compare_records({at_arp, record(1)}, adopted(1));
  const CandidateRow& row = row_of(table, 2);
  ASSERT_TRUE(row.difference_m.has_value());
  EXPECT_NEAR(row.difference_m->e_m, 0.003, 1e-6);
  EXPECT_NEAR(row.difference_m->n_m, -0.002, 1e-6);
  EXPECT_NEAR(row.difference_m->u_m, 0.004, 1e-6);
  EXPECT_NEAR(row.difference_sigma_enu_m->at(2), 0.003 * std::sqrt(2.0), 1e-9);
  EXPECT_NEAR(*row.test, (9 + 4 + 16) / 18.0, 1e-3);
  EXPECT_EQ(row.agrees, true);
  EXPECT_EQ(row.why, "agrees");
  EXPECT_EQ(row_of(table, 1).why, "reference");
  EXPECT_FALSE(row_of(table, 1).agrees.has_value());
  EXPECT_EQ(table.reference, 1);
  EXPECT_FALSE(candidate_apart_m(table).has_value());
  EXPECT_FALSE(warns(table, "candidate_disagrees"));
}

TEST(Candidates, TheTestLooksAtTheWholeCovariance) {
  // 20 mm along a direction known to 3 mm, and to 30 mm.
  StoredRecord wide = record(2);
  const Mat3 turn = enu_R_ecef(to_geodetic(kMarker));
  wide.record.position.covariance_m2 =
      covariance_to_ecef(turn, {9e-6, 0, 0, 0, 9e-6, 0, 0, 0, 9e-4});
  wide.record.position.ecef = from_enu({0, 0, 0.02}, kMarker);
  EXPECT_EQ(row_of(compare_records({wide, record(1)}, adopted(1)), 2).agrees,
            true);
  wide.record.position.ecef = from_enu({0, 0.02, 0}, kMarker);
  EXPECT_EQ(row_of(compare_records({wide, record(1)}, adopted(1)), 2).agrees,
            false);
}

// kind: published   source: chi-square with 3 degrees of freedom, 0.1 % point
// 16.27 (from memory of printed tables); tolerance: 0.005, two decimals
TEST(Candidates, OneInAThousandOfTrueRecordsDisagrees) {
  EXPECT_NEAR(compare_records({}, {}).limit, 16.27, 0.005);
  std::mt19937 random(20241);
  std::normal_distribution<double> error(0, 0.004);
  int disagree = 0;
  constexpr int kTrials = 20'000;
  for (int i = 0; i < kTrials; ++i) {
    const Enu one{error(random), error(random), error(random)};
    const Enu other{error(random), error(random), error(random)};
    const auto table = compare_records(
        {record(2, one, 0.004), record(1, other, 0.004)}, adopted(1));
    disagree += row_of(table, 2).agrees == false ? 1 : 0;
  }
  // 20 expected; 4 sigma of a Poisson law is 18.
  EXPECT_GT(disagree, 2);
  EXPECT_LT(disagree, 38);
}

TEST(Candidates, OneThatDisagreesIsWarnedOfWithItsDistance) {
  const CandidateTable table = compare_records(
      {record(3, {}, 0.02), record(2, {0, 0.03, 0.04}), record(1)}, adopted(1));
  EXPECT_EQ(row_of(table, 2).agrees, false);
  EXPECT_EQ(row_of(table, 3).agrees, true);
  ASSERT_TRUE(warns(table, "candidate_disagrees"));
  EXPECT_NEAR(*table.warnings[0].size_m, 0.05, 1e-5);
  ASSERT_TRUE(candidate_apart_m(table).has_value());
  EXPECT_NEAR(*candidate_apart_m(table), 0.05, 1e-5);
  EXPECT_NE(candidates_text(table).find("DISAGREES"), std::string::npos);
  // A less sure one does not speak against the adopted.
  const CandidateTable poor =
      compare_records({record(2, {0, 3, 4}, 0.5), record(1)}, adopted(1));
  EXPECT_EQ(row_of(poor, 2).agrees, false);
  EXPECT_FALSE(candidate_apart_m(poor).has_value());
}

TEST(Candidates, TheSurestIsBestAndNeverOneByHand) {
  StoredRecord typed = record(4, {}, 0.0001, "by-hand");
  typed.record.origin = RecordOrigin::kByHand;
  const std::vector<StoredRecord> records{typed,
                                          record(3, {}, 0.5, "code"),
                                          record(2, {}, 0.003, "ppp-float"),
                                          record(1, {}, 0.003, "ppp-fixed")};
  const CandidateTable table = compare_records(records, {});
  EXPECT_EQ(table.best, 1);
  EXPECT_EQ(table.reference, 1);
  EXPECT_FALSE(table.adopted.has_value());
  EXPECT_TRUE(row_of(table, 1).best);
  const CandidateTable alone = compare_records({typed}, {});
  EXPECT_FALSE(alone.best.has_value());
  EXPECT_EQ(alone.reference, 4);
}

TEST(Candidates, OtherFramesAndEpochsAreBroughtToTheAdoptedOnes) {
  StoredRecord older = record(2);
  older.record.position.epoch = kDay - Duration{3 * 365.25 * 86400};
  older.record.position.frame.name = "IGb14";
  const FrameGoal then{{"IGb14"}, older.record.position.epoch, ""};
  const auto moved = carry(record(2).record.position, then);
  ASSERT_TRUE(moved.has_value());
  older.record.position.ecef = moved->position.ecef;
  const CandidateTable table = compare_records({older, record(1)}, adopted(1));
  const CandidateRow& row = row_of(table, 2);
  ASSERT_TRUE(row.difference_m.has_value());
  EXPECT_EQ(row.moved_by, "plate model ITRF2020 EURA");
  // The two plate models differ by 0.6 mm a year here.
  EXPECT_LT(
      std::hypot(
          row.difference_m->e_m, row.difference_m->n_m, row.difference_m->u_m),
      0.002);
  EXPECT_EQ(row.agrees, true);
  EXPECT_EQ(table.frame.name, "IGS20");
  CandidateQuestion wish = adopted(1);
  wish.frame = FrameId{"ITRF2014"};
  wish.epoch = older.record.position.epoch;
  EXPECT_EQ(compare_records({older, record(1)}, wish).frame.name, "ITRF2014");
}

TEST(Candidates, WhatCannotBeComparedSaysWhy) {
  StoredRecord national = record(2);
  national.record.position.frame.name = "ETRF2000";
  const CandidateTable table =
      compare_records({national, record(1)}, adopted(1));
  EXPECT_EQ(row_of(table, 2).why, "frame_unknown");
  EXPECT_FALSE(row_of(table, 2).difference_m.has_value());
  EXPECT_FALSE(row_of(table, 2).agrees.has_value());
  const auto json = candidates_json(table);
  EXPECT_TRUE(json["candidates"][0]["difference_enu_mm"].is_null());
  EXPECT_EQ(json["candidates"][0]["why"], "frame_unknown");

  const CandidateTable reverse =
      compare_records({national, record(1)}, adopted(2));
  EXPECT_EQ(row_of(reverse, 1).why, "frame_unknown");

  StoredRecord far = record(3);
  far.record.position.ecef = to_ecef({-0.6, 2.6, 10});
  StoredRecord later = far;
  later.id = 4;
  later.record.position.epoch = kDay + Duration{4e7};
  const CandidateTable plates = compare_records({later, far}, adopted(3));
  EXPECT_EQ(row_of(plates, 4).why, "plate_unknown");
  CandidateQuestion named = adopted(3);
  named.plate = "AUST";
  EXPECT_TRUE(row_of(compare_records({later, far}, named), 4).agrees);
}

TEST(Candidates, ACodePositionIsComparableToItsMetres) {
  StoredRecord code = record(2, {0.2, 0.1, -0.4}, 0.3, "code");
  code.record.position.frame.name = "WGS84";
  code.record.products = "broadcast";
  const CandidateTable table = compare_records({code, record(1)}, adopted(1));
  EXPECT_EQ(row_of(table, 2).agrees, true);
  EXPECT_GT(row_of(table, 2).sigma_enu_m[0], 0.3);
  EXPECT_TRUE(warns(table, "frame_broadcast"));
  EXPECT_EQ(table.best, 1);
}

TEST(Candidates, BetterProductsAndLongerDataAreWarnedOf) {
  StoredRecord ultra = record(1);
  ultra.record.products = "ultra";
  EXPECT_TRUE(
      warns(compare_records({record(2), ultra}, adopted(1)), "better_product"));
  EXPECT_FALSE(
      warns(compare_records({record(2), ultra}, adopted(2)), "better_product"));
  EXPECT_FALSE(warns(compare_records({record(2, {}, 0.01), ultra}, adopted(1)),
                     "better_product"));
  StoredRecord unsaid = record(2);
  unsaid.record.products = "precise";
  EXPECT_FALSE(
      warns(compare_records({unsaid, ultra}, adopted(1)), "better_product"));
  StoredRecord longer = record(2, {}, 0.0019, "tie-fixed");
  EXPECT_FALSE(warns(compare_records({longer, record(1)}, adopted(1)),
                     "better_product"));
  longer.record.end = *longer.record.end + Duration{3600};
  EXPECT_TRUE(warns(compare_records({longer, record(1)}, adopted(1)),
                    "better_product"));
}

TEST(Candidates, PlateMotionIsWarnedOfBeyondTenMillimetres) {
  CandidateQuestion q = adopted(1);
  q.now = kDay + Duration{100 * 86400.0};  // about 6 mm
  EXPECT_FALSE(warns(compare_records({record(1)}, q), "plate_motion"));
  q.now = kDay + Duration{300 * 86400.0};
  EXPECT_TRUE(warns(compare_records({record(1)}, q), "plate_motion"));
}

TEST(WarningsOfAdopted, ACodePositionIsCalledOne) {
  StoredRecord code = record(2, {}, 0.3, "code");
  code.record.position.frame.name = "WGS84";
  const auto warnings = warnings_of_adopted(code, "", kDay);
  ASSERT_EQ(warnings.size(), 2U);
  EXPECT_EQ(warnings[0].code, "code_position");
  EXPECT_EQ(warnings[1].code, "frame_broadcast");
  EXPECT_TRUE(warnings_of_adopted(record(1), "", kDay).empty());
}

TEST(CandidatesJson, MillimetresAndEveryKey) {
  const auto json = candidates_json(
      compare_records({record(2, {0.0012, 0, 0}), record(1)}, adopted(1)));
  EXPECT_EQ(json["adopted"], 1);
  const auto& row = json["candidates"][0];
  EXPECT_NEAR(row["difference_enu_mm"][0].get<double>(), 1.2, 0.006);
  EXPECT_NEAR(row["sigma_enu_mm"][2].get<double>(), 3, 0.006);
  EXPECT_NEAR(row["distance_mm"].get<double>(), 1.2, 0.006);
  EXPECT_EQ(row["span_h"], 24);
  EXPECT_TRUE(row["source"].is_null());
  EXPECT_EQ(row["agrees"], true);
}

}  // namespace
}  // namespace stillpoint::report
