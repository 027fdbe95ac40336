#include "stillpoint/core/error_table.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <set>
#include <string>
#include <vector>

#include "stillpoint/core/check.h"
#include "stillpoint/core/text.h"
#include "tests/support/vectors.h"

namespace stillpoint {
namespace {

// The last code. The switch makes the compiler complain about a code that is
// missing here.
constexpr int kLastCode = static_cast<int>(ErrorCode::kFrameUnknown);
bool is_listed(ErrorCode code) {
  switch (code) {
    case ErrorCode::kTruncated:
    case ErrorCode::kBadChecksum:
    case ErrorCode::kOutOfRange:
    case ErrorCode::kIo:
    case ErrorCode::kConfig:
    case ErrorCode::kUsage:
    case ErrorCode::kBadFormat:
    case ErrorCode::kUnsupported:
    case ErrorCode::kTooLarge:
    case ErrorCode::kNoData:
    case ErrorCode::kMixedInput:
    case ErrorCode::kBadHeader:
    case ErrorCode::kInternal:
    case ErrorCode::kFrameUnknown:
      return true;
  }
  return false;
}

struct DocumentRow {
  int number;
  std::string name, happened, remedy;
};

// Rows of the document: "| 1 | `truncated` | what happened | what to do |".
std::vector<DocumentRow> rows_of_document() {
  std::ifstream in(test::vector_path("../../docs/errors.md"));
  std::vector<DocumentRow> rows;
  for (std::string line; std::getline(in, line);) {
    std::vector<std::string> cells;
    for (std::size_t from = 1; from < line.size();) {
      const std::size_t bar = std::min(line.find('|', from), line.size());
      cells.emplace_back(trim(columns(line, from, bar - from)));
      from = bar + 1;
    }
    if (cells.size() == 4 && parse_int(cells[0])) {
      rows.push_back({static_cast<int>(*parse_int(cells[0])),
                      cells[1],
                      cells[2],
                      cells[3]});
    }
  }
  return rows;
}

TEST(ErrorTable, HasOneRowForEveryCode) {
  std::set<std::string> names;
  std::set<int> numbers;
  for (const ErrorRow& row : error_rows()) {
    EXPECT_TRUE(is_listed(row.code));
    EXPECT_TRUE(names.insert(row.name).second) << row.name;
    EXPECT_TRUE(numbers.insert(static_cast<int>(row.code)).second) << row.name;
    EXPECT_STREQ(error_name(row.code), row.name);
    EXPECT_STREQ(default_remedy(row.code), row.remedy);
  }
  for (int code = 1; code <= kLastCode; ++code) {
    EXPECT_TRUE(numbers.contains(code)) << code;
  }
  EXPECT_EQ(numbers.size(), static_cast<std::size_t>(kLastCode));
}

TEST(ErrorTable, AgreesWithItsDocument) {
  const auto document = rows_of_document();
  const auto table = error_rows();
  ASSERT_EQ(document.size(), table.size());
  for (std::size_t i = 0; i < table.size(); ++i) {
    EXPECT_EQ(document[i].number, static_cast<int>(table[i].code));
    EXPECT_EQ(document[i].name, "`" + std::string(table[i].name) + "`");
    EXPECT_FALSE(document[i].happened.empty()) << table[i].name;
    EXPECT_EQ(document[i].remedy, table[i].remedy);
  }
}

TEST(Error, TextNamesThePlaceWhereThereIsOne) {
  const Result<int> here = fail(ErrorCode::kTruncated, "no end", "a.rnx:12");
  ASSERT_FALSE(here.has_value());
  EXPECT_EQ(here.error().text(), "a.rnx:12: no end");
  const Result<int> nowhere = fail(ErrorCode::kUsage, "no verb");
  EXPECT_EQ(nowhere.error().text(), "no verb");
}

TEST(CheckDeathTest, ABrokenInvariantSaysWhereAndStops) {
  EXPECT_DEATH(STILLPOINT_CHECK(1 + 1 == 3),
               "error_table_test.cc:[0-9]+: 1 \\+ 1 == 3");
}

}  // namespace
}  // namespace stillpoint
