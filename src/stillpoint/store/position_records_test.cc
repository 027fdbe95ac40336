#include "stillpoint/store/position_records.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "stillpoint/store/record_test_support.h"
#include "stillpoint/store/store_test_support.h"

namespace stillpoint {
namespace {

using test::record_by_hand;
using test::record_of_document;

class PositionRecordsTest : public ::testing::Test {
 protected:
  const test::TempFolder folder_;
  const std::filesystem::path path_ = folder_ / "station.db";
  Store store_ = test::open_or_stop(path_);
  PositionRecords& positions_ = store_.positions();
  const ChangeNote note_{test::at_second(5), "console: alder"};

  std::vector<std::string> log() {
    return test::texts(store_.logbook().read({}));
  }
  std::int64_t add(const PositionRecord& record) {
    const auto id = positions_.add(record, note_);
    EXPECT_TRUE(id) << id.error().text();
    return id.value_or(0);
  }
  ErrorCode refusal(const PositionRecord& record) {
    const auto id = positions_.add(record, note_);
    EXPECT_FALSE(id);
    return id ? ErrorCode::kInternal : id.error().code;
  }
  std::vector<std::int64_t> ids() {
    std::vector<std::int64_t> found;
    const auto list = positions_.list().value();
    found.reserve(list.size());
    for (const StoredRecord& stored : list) {
      found.push_back(stored.id);
    }
    return found;
  }
};

void expect_same(const PositionRecord& a, const PositionRecord& b) {
  EXPECT_EQ(a.origin, b.origin);
  EXPECT_EQ(a.method, b.method);
  EXPECT_EQ(a.position.ecef.x_m, b.position.ecef.x_m);
  EXPECT_EQ(a.position.ecef.y_m, b.position.ecef.y_m);
  EXPECT_EQ(a.position.ecef.z_m, b.position.ecef.z_m);
  EXPECT_EQ(a.position.frame, b.position.frame);
  EXPECT_EQ(a.position.epoch, b.position.epoch);
  EXPECT_EQ(a.position.covariance_m2, b.position.covariance_m2);
  EXPECT_EQ(a.position.point, b.position.point);
  EXPECT_EQ(a.antenna_type, b.antenna_type);
  EXPECT_EQ(a.delta_enu_m, b.delta_enu_m);
  EXPECT_EQ(a.products, b.products);
  EXPECT_EQ(a.first, b.first);
  EXPECT_EQ(a.end, b.end);
  EXPECT_EQ(a.source, b.source);
  EXPECT_EQ(a.document_sha256, b.document_sha256);
  EXPECT_EQ(a.program_version, b.program_version);
}

TEST_F(PositionRecordsTest, ComeBackBitForBit) {
  const PositionRecord solved = record_of_document('a');
  const PositionRecord typed = record_by_hand();
  ASSERT_EQ(add(solved), 1);
  ASSERT_EQ(add(typed), 2);
  Store again = test::open_or_stop(path_);
  const auto first = again.positions().find(1).value();
  ASSERT_TRUE(first);
  expect_same(first->record, solved);
  EXPECT_EQ(first->record.document, solved.document);
  EXPECT_EQ(first->added, note_.at);
  EXPECT_EQ(first->by, note_.by);
  const auto second = again.positions().find(2).value();
  ASSERT_TRUE(second);
  expect_same(second->record, typed);
  EXPECT_EQ(again.positions().find(3).value().has_value(), false);
}

TEST_F(PositionRecordsTest, AreListedNewestFirstWithoutTheirDocuments) {
  add(record_of_document('a'));
  add(record_by_hand());
  add(record_of_document('b'));
  EXPECT_EQ(ids(), (std::vector<std::int64_t>{3, 2, 1}));
  const auto list = positions_.list().value();
  EXPECT_EQ(list[0].record.document, "");
  expect_same(list[0].record, record_of_document('b'));
}

TEST_F(PositionRecordsTest, ADocumentThatIsThereIsNotAddedAgain) {
  EXPECT_EQ(add(record_of_document('a')), 1);
  EXPECT_EQ(add(record_of_document('b')), 2);
  EXPECT_EQ(add(record_of_document('a')), 1);
  EXPECT_EQ(ids().size(), 2U);
  EXPECT_EQ(log().size(), 2U);
}

TEST_F(PositionRecordsTest, TypedOnesAreEachTheirOwn) {
  EXPECT_EQ(add(record_by_hand()), 1);
  EXPECT_EQ(add(record_by_hand()), 2);
}

TEST_F(PositionRecordsTest, AreInTheLogbook) {
  add(record_of_document('a'));
  const auto id = positions_.adopt(1, "three days agree", note_);
  ASSERT_TRUE(id) << id.error().text();
  add(record_by_hand());
  ASSERT_TRUE(positions_.adopt(2, "survey of the roof", note_));
  EXPECT_EQ(log(),
            (std::vector<std::string>{
                "position record 2 adopted: survey of the roof",
                "position record 2 added (by_hand): by-hand in ETRF2000",
                "position record 1 adopted: three days agree",
                "position record 1 added (imported): ppp-fixed in IGS20"}));
  const auto entries = store_.logbook().read({}).value();
  EXPECT_EQ(entries[0].entry.kind, LogKind::kAdopted);
  EXPECT_EQ(entries[0].entry.details,
            (std::vector<LogDetail>{{"record", std::int64_t{2}},
                                    {"adoption", std::int64_t{2}},
                                    {"why", std::string("survey of the roof")},
                                    {"by", std::string("console: alder")},
                                    {"before", std::int64_t{1}}}));
  EXPECT_EQ(entries[3].entry.details,
            (std::vector<LogDetail>{{"record", std::int64_t{1}},
                                    {"origin", std::string("imported")},
                                    {"method", std::string("ppp-fixed")},
                                    {"frame", std::string("IGS20")},
                                    {"by", std::string("console: alder")}}));
}

TEST_F(PositionRecordsTest, NothingIsAdoptedBeforeTheFirstAdoption) {
  add(record_by_hand());
  EXPECT_EQ(positions_.adopted().value().has_value(), false);
  EXPECT_TRUE(positions_.adoptions().value().empty());
}

// The order of writing counts: the clock may have been set back meanwhile.
TEST_F(PositionRecordsTest, TheAdoptionWrittenLastHolds) {
  add(record_of_document('a'));
  add(record_by_hand());
  ASSERT_EQ(positions_.adopt(1, "first", {test::at_second(900), "a"}), 1);
  ASSERT_EQ(positions_.adopt(2, "second", {test::at_second(100), "b"}), 2);
  auto holds = positions_.adopted().value();
  ASSERT_TRUE(holds);
  EXPECT_EQ(holds->first.id, 2);
  EXPECT_EQ(holds->second.id, 2);
  EXPECT_EQ(holds->second.record, 2);
  EXPECT_EQ(holds->second.at, test::at_second(100));
  EXPECT_EQ(holds->second.by, "b");
  EXPECT_EQ(holds->second.why, "second");
  // Back to the first: a third adoption, and the history stays.
  ASSERT_EQ(positions_.adopt(1, "third", {test::at_second(200), "c"}), 3);
  holds = positions_.adopted().value();
  EXPECT_EQ(holds->first.id, 1);
  expect_same(holds->first.record, record_of_document('a'));
  std::vector<std::string> why;
  const auto adoptions = positions_.adoptions().value();
  why.reserve(adoptions.size());
  for (const Adoption& adoption : adoptions) {
    why.push_back(adoption.why);
  }
  EXPECT_EQ(why, (std::vector<std::string>{"third", "second", "first"}));
}

TEST_F(PositionRecordsTest, SayWhatIsNewest) {
  using Newest = PositionRecords::Newest;
  EXPECT_EQ(positions_.newest().value(), (Newest{0, 0}));
  add(record_of_document('a'));
  add(record_by_hand());
  EXPECT_EQ(positions_.newest().value(), (Newest{2, 0}));
  ASSERT_EQ(positions_.adopt(1, "why", note_), 1);
  EXPECT_EQ(positions_.newest().value(), (Newest{2, 1}));
}

TEST_F(PositionRecordsTest, OnlyWhatIsThereIsAdoptedAndForAReason) {
  add(record_by_hand());
  EXPECT_EQ(positions_.adopt(2, "why", note_).error().code, ErrorCode::kNoData);
  EXPECT_EQ(positions_.adopt(0, "why", note_).error().code, ErrorCode::kNoData);
  for (const std::string& why :
       {std::string(), std::string("two\nlines"), std::string(501, 'x')}) {
    EXPECT_EQ(positions_.adopt(1, why, note_).error().code,
              ErrorCode::kOutOfRange);
  }
  EXPECT_EQ(positions_.adopt(1, "why", {note_.at, ""}).error().code,
            ErrorCode::kOutOfRange);
  EXPECT_TRUE(positions_.adoptions().value().empty());
  EXPECT_TRUE(positions_.adopt(1, std::string(500, 'x'), note_));
  EXPECT_EQ(positions_.adoptions().value().front().why.size(), 500U);
}

TEST_F(PositionRecordsTest, PlacesThatCannotBeAreRefused) {
  PositionRecord record = record_by_hand();
  record.position.point = Point::kPhaseCentre;
  EXPECT_EQ(refusal(record), ErrorCode::kOutOfRange);
  for (const double x_m : {6.29e6,
                           6.51e6,
                           0.0,
                           std::numeric_limits<double>::quiet_NaN(),
                           std::numeric_limits<double>::infinity()}) {
    record = record_by_hand();
    record.position.ecef = {x_m, 0, 0};
    EXPECT_EQ(refusal(record), ErrorCode::kOutOfRange) << x_m;
  }
  record = record_by_hand();
  record.position.ecef = {6.378e6, 0, 0};
  EXPECT_EQ(add(record), 1);
  record.position.frame.name = "";
  EXPECT_EQ(refusal(record), ErrorCode::kOutOfRange);
  record = record_by_hand();
  record.delta_enu_m[2] = std::numeric_limits<double>::quiet_NaN();
  EXPECT_EQ(refusal(record), ErrorCode::kOutOfRange);
  EXPECT_EQ(log().size(), 1U);
}

// kind: cross   source: the mean of the two halves, 1.000001, by hand
// tolerance: 1e-12, rounding of doubles
TEST_F(PositionRecordsTest, CovariancesThatAreNoneAreRefused) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  for (const Cov3& bad : {Cov3{},
                          Cov3{1, 0, 0, 0, 1, 0, 0, 0, 0},
                          Cov3{1, 0, 0, 0, 1, 0, 0, 0, -1},
                          Cov3{1, 0.5, 0, 0.4, 1, 0, 0, 0, 1},
                          Cov3{1, 2, 0, 2, 1, 0, 0, 0, 1},
                          Cov3{1, 0.9, -0.9, 0.9, 1, 0.9, -0.9, 0.9, 1},
                          Cov3{1, nan, 0, nan, 1, 0, 0, 0, 1},
                          Cov3{nan, 0, 0, 0, 1, 0, 0, 0, 1}}) {
    PositionRecord record = record_by_hand();
    record.position.covariance_m2 = bad;
    EXPECT_EQ(refusal(record), ErrorCode::kOutOfRange)
        << bad[1] << " " << bad[8];
  }
  // What digits of a text leave of symmetry is evened out.
  PositionRecord record = record_by_hand();
  record.position.covariance_m2 = {4, 1, 0, 1.000002, 4, 0, 0, 0, 4};
  ASSERT_EQ(add(record), 1);
  const Cov3 kept = positions_.find(1).value()->record.position.covariance_m2;
  EXPECT_EQ(kept[1], kept[3]);
  EXPECT_NEAR(kept[1], 1.000001, 1e-12);
}

TEST_F(PositionRecordsTest, TextsThatCannotBeAreRefused) {
  const std::string long_word(65, 'x');
  for (const std::string& bad : {long_word, std::string("a\tb")}) {
    for (std::string PositionRecord::*field :
         {&PositionRecord::method,
          &PositionRecord::antenna_type,
          &PositionRecord::products,
          &PositionRecord::program_version}) {
      PositionRecord record = record_of_document('a');
      record.*field = bad;
      EXPECT_EQ(refusal(record), ErrorCode::kOutOfRange) << bad;
    }
  }
  PositionRecord record = record_of_document('a');
  record.method = "";
  EXPECT_EQ(refusal(record), ErrorCode::kOutOfRange);
  record = record_by_hand();
  record.source = std::string(501, 'x');
  EXPECT_EQ(refusal(record), ErrorCode::kOutOfRange);
  EXPECT_EQ(positions_.add(record_by_hand(), {note_.at, ""}).error().code,
            ErrorCode::kOutOfRange);
  EXPECT_EQ(positions_.add(record_by_hand(), {note_.at, std::string(201, 'x')})
                .error()
                .code,
            ErrorCode::kOutOfRange);
  EXPECT_TRUE(ids().empty());
}

TEST_F(PositionRecordsTest, DocumentsThatCannotBeAreRefused) {
  PositionRecord record = record_of_document('a');
  record.document_sha256 = "";
  EXPECT_EQ(refusal(record), ErrorCode::kOutOfRange);
  record = record_of_document('a');
  record.document_sha256 = std::string(64, 'A');
  EXPECT_EQ(refusal(record), ErrorCode::kOutOfRange);
  record.document_sha256 = std::string(63, 'a');
  EXPECT_EQ(refusal(record), ErrorCode::kOutOfRange);
  record = record_of_document('a');
  record.document = "";
  EXPECT_EQ(refusal(record), ErrorCode::kOutOfRange);
  record.document = "{\"a\":\"\xFF\"}";
  EXPECT_EQ(refusal(record), ErrorCode::kOutOfRange);
  record.document = std::string("{\0}", 3);
  EXPECT_EQ(refusal(record), ErrorCode::kOutOfRange);
  record.document = std::string((std::size_t{4} << 20U) + 1, ' ');
  EXPECT_EQ(refusal(record), ErrorCode::kTooLarge);
  record.document.pop_back();
  EXPECT_EQ(add(record), 1);
  EXPECT_EQ(positions_.find(1).value()->record.document, record.document);
}

TEST_F(PositionRecordsTest, TypedOnesNeedASourceAndHaveNoData) {
  PositionRecord record = record_by_hand();
  record.source = "";
  EXPECT_EQ(refusal(record), ErrorCode::kOutOfRange);
  record = record_by_hand();
  record.first = record.end = test::at_second(1);
  EXPECT_EQ(refusal(record), ErrorCode::kOutOfRange);
  record = record_by_hand();
  record.document = "{}";
  record.document_sha256 = std::string(64, 'a');
  EXPECT_EQ(refusal(record), ErrorCode::kOutOfRange);
  record = record_of_document('a');
  std::swap(record.first, record.end);
  EXPECT_EQ(refusal(record), ErrorCode::kOutOfRange);
  record.end.reset();
  EXPECT_EQ(refusal(record), ErrorCode::kOutOfRange);
}

TEST_F(PositionRecordsTest, TheDatabaseRefusesToChangeThem) {
  add(record_of_document('a'));
  add(record_by_hand());
  ASSERT_TRUE(positions_.adopt(1, "why", note_));
  for (const char* sql :
       {"UPDATE position_records SET x_m = 0",
        "UPDATE OR REPLACE position_records SET id = 2 WHERE id = 1",
        "DELETE FROM position_records WHERE id = 2",
        "REPLACE INTO position_records SELECT * FROM position_records",
        // Another id, the same document.
        "REPLACE INTO position_records SELECT 9, added_gpst_ns, added_by,"
        " origin, method, frame, epoch_gpst_ns, point, x_m, y_m, z_m,"
        " cov_xx_m2, cov_xy_m2, cov_xz_m2, cov_yy_m2, cov_yz_m2, cov_zz_m2,"
        " antenna_type, delta_e_m, delta_n_m, delta_u_m, products,"
        " first_gpst_ns, end_gpst_ns, source, program_version,"
        " document_sha256, document FROM position_records WHERE id = 1"}) {
    EXPECT_EQ(test::foreign_sql(path_, sql), "position records are append-only")
        << sql;
  }
  for (const char* sql : {"UPDATE adoptions SET record = 2",
                          "DELETE FROM adoptions",
                          "REPLACE INTO adoptions SELECT * FROM adoptions"}) {
    EXPECT_EQ(test::foreign_sql(path_, sql), "adoptions are append-only")
        << sql;
  }
  EXPECT_EQ(ids(), (std::vector<std::int64_t>{2, 1}));
  EXPECT_EQ(positions_.adopted().value()->first.id, 1);
}

// Entry and row are one: where the logbook cannot be written, nothing is.
TEST_F(PositionRecordsTest, NoRecordAndNoAdoptionWithoutItsEntry) {
  add(record_by_hand());
  ASSERT_EQ(test::foreign_sql(path_,
                              "CREATE TRIGGER jam BEFORE INSERT ON logbook "
                              "BEGIN SELECT RAISE(ABORT, 'jammed'); END"),
            "");
  EXPECT_FALSE(positions_.add(record_of_document('a'), note_));
  EXPECT_FALSE(positions_.adopt(1, "why", note_));
  EXPECT_EQ(ids(), std::vector<std::int64_t>{1});
  EXPECT_TRUE(positions_.adoptions().value().empty());
}

TEST_F(PositionRecordsTest, TextsAreValuesWhateverTheySay) {
  PositionRecord record = record_by_hand();
  record.source = "x'; DROP TABLE adoptions; --";
  add(record);
  ASSERT_TRUE(positions_.adopt(1, record.source, note_));
  EXPECT_EQ(positions_.adopted().value()->second.why, record.source);
}

}  // namespace
}  // namespace stillpoint
