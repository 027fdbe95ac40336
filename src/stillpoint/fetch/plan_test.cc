// Which files cover a span.
#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "stillpoint/fetch/fetch_test_support.h"
#include "stillpoint/fetch/file_name.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::fetch {
namespace {

using test::gpst;

const GnssTime kLongAfter = gpst("2026-12-31");

FetchRequest day(ProductKind kind) {
  FetchRequest request;
  request.first = gpst("2026-11-20T00:00:00");
  request.last = gpst("2026-11-20T23:59:30");
  request.kinds = {kind};
  return request;
}

// "MMDDhh", with a question mark where it is of the edges, the alternatives
// behind each other.
std::vector<std::string> starts(const PlannedLine& planned) {
  std::vector<std::string> out;
  for (const PlannedFile& file : planned.files) {
    std::string text;
    for (const GnssTime begins : file.begins) {
      const std::string reading = format_gpst(begins);
      text += (text.empty() ? "" : ",") + reading.substr(5, 2) +
              reading.substr(8, 2) + reading.substr(11, 2);
    }
    out.push_back(text + (file.required ? "" : "?"));
  }
  return out;
}

PlannedLine line_of(const FetchRequest& request,
                    std::string_view agency,
                    Quality quality,
                    GnssTime now = kLongAfter) {
  const auto planned = plan(request, test::two_archives(), now);
  EXPECT_TRUE(planned) << planned.error().text();
  for (const PlannedGroup& group : planned->together) {
    if (group.agency == agency && group.quality == quality) {
      return group.lines.front();
    }
  }
  ADD_FAILURE() << agency;
  return {};
}

TEST(Plan, ADayOfClocksIsOneFile) {
  EXPECT_EQ(starts(line_of(day(ProductKind::kClocks), "AAA", Quality::kFinal)),
            std::vector<std::string>({"112000"}));
}

TEST(Plan, ADayOfOrbitsWantsItsNeighbours) {
  FetchRequest request = day(ProductKind::kOrbits);
  EXPECT_EQ(starts(line_of(request, "AAA", Quality::kFinal)),
            std::vector<std::string>({"111900?", "112000", "112100?"}));
  // Without edges: the last sample stands at 23:45, the span ends later.
  request.edge_s = 0;
  EXPECT_EQ(starts(line_of(request, "AAA", Quality::kFinal)),
            std::vector<std::string>({"112000", "112100?"}));
  request.last = gpst("2026-11-20T23:45:00");
  EXPECT_EQ(starts(line_of(request, "AAA", Quality::kFinal)),
            std::vector<std::string>({"112000"}));
  request.edge_s = 86400;
  EXPECT_EQ(starts(line_of(request, "AAA", Quality::kFinal)),
            std::vector<std::string>({"111900?", "112000", "112100?"}));
}

TEST(Plan, MidnightNeedsNoMoreThanItMust) {
  FetchRequest request = day(ProductKind::kClocks);
  request.last = gpst("2026-11-21T00:00:00");
  EXPECT_EQ(starts(line_of(request, "AAA", Quality::kFinal)),
            std::vector<std::string>({"112000", "112100?"}));
  request.first = request.last;
  EXPECT_EQ(starts(line_of(request, "AAA", Quality::kFinal)),
            std::vector<std::string>({"112100"}));
  request.first = gpst("2026-11-19T12:00:00");
  request.last = gpst("2026-11-21T12:00:00");
  EXPECT_EQ(starts(line_of(request, "AAA", Quality::kFinal)),
            std::vector<std::string>({"111900", "112000", "112100"}));
}

TEST(Plan, OverlappingFilesFromTheLatestThatCovers) {
  FetchRequest request = day(ProductKind::kOrbits);
  request.first = gpst("2026-11-20T09:00:00");
  request.last = gpst("2026-11-20T11:00:00");
  request.edge_s = 0;
  EXPECT_EQ(starts(line_of(request, "AAA", Quality::kUltra)),
            std::vector<std::string>(
                {"112006,112000,111918,111912,111906,111900,111818,111812"}));
  // With 75 minutes on both sides: from 07:45 to 12:15, which the file from
  // 12:00 of two days before, last sample 11:45, does not reach.
  request.edge_s = 4500;
  EXPECT_EQ(starts(line_of(request, "AAA", Quality::kUltra)),
            std::vector<std::string>(
                {"112006,112000,111918,111912,111906,111900,111818"}));
  // 41.75 h are covered wherever they begin; a longer span needs two files.
  request.edge_s = 0;
  request.last = request.first + Duration{41.75 * 3600};
  EXPECT_EQ(line_of(request, "AAA", Quality::kUltra).files.size(), 1U);
  request.last = request.last + Duration{1};
  EXPECT_EQ(line_of(request, "AAA", Quality::kUltra).files.size(), 2U);
}

// The session ended an hour ago: only files that are published by then are
// asked for, and those that begin within the last 24 h are not.
TEST(Plan, WhatCannotBeThereIsNotAskedFor) {
  FetchRequest request = day(ProductKind::kOrbits);
  request.first = gpst("2026-11-20T09:00:00");
  request.last = gpst("2026-11-20T11:00:00");
  request.edge_s = 0;
  const GnssTime now = gpst("2026-11-20T12:00:00");
  EXPECT_EQ(starts(line_of(request, "AAA", Quality::kUltra, now)),
            std::vector<std::string>({"111906,111900,111818,111812"}));
  EXPECT_FALSE(line_of(request, "AAA", Quality::kUltra, now).too_early);
  EXPECT_TRUE(line_of(request, "AAA", Quality::kRapid, now).too_early);
  // Half of 17 hours after midnight.
  EXPECT_TRUE(
      line_of(request, "AAA", Quality::kRapid, gpst("2026-11-21T08:29:59"))
          .too_early);
  EXPECT_FALSE(
      line_of(request, "AAA", Quality::kRapid, gpst("2026-11-21T08:30:00"))
          .too_early);
}

TEST(Plan, GroupsInOrderOfQualityAndOnlyWhole) {
  FetchRequest request = day(ProductKind::kOrbits);
  const ArchiveList list = test::two_archives();
  const auto names = [&] {
    std::vector<std::string> out;
    const auto planned = plan(request, list, kLongAfter);
    EXPECT_TRUE(planned);
    for (const PlannedGroup& group : planned->together) {
      out.push_back(group.agency + quality_letters(group.quality));
    }
    return out;
  };
  EXPECT_EQ(names(),
            std::vector<std::string>({"AAAFIN", "BBBFIN", "AAARAP", "AAAULT"}));
  request.kinds = {ProductKind::kOrbits, ProductKind::kClocks};
  EXPECT_EQ(names(), std::vector<std::string>({"AAAFIN", "BBBFIN", "AAARAP"}));
  request.if_there = {ProductKind::kBiases};
  EXPECT_EQ(names(), std::vector<std::string>({"AAAFIN", "BBBFIN", "AAARAP"}));
  request.kinds.push_back(ProductKind::kBiases);
  EXPECT_EQ(names(), std::vector<std::string>({"BBBFIN"}));
  request.kinds = {ProductKind::kOrbits};
  request.if_there.clear();
  request.worst = Quality::kRapid;
  EXPECT_EQ(names(), std::vector<std::string>({"AAAFIN", "BBBFIN", "AAARAP"}));
}

TEST(Plan, RequestsThatCannotBe) {
  const ArchiveList list = test::two_archives();
  const auto code = [&](const FetchRequest& request) {
    const auto planned = plan(request, list, kLongAfter);
    return planned ? ErrorCode{} : planned.error().code;
  };
  FetchRequest request = day(ProductKind::kOrbits);
  EXPECT_EQ(code(request), ErrorCode{});
  std::swap(request.first, request.last);
  EXPECT_EQ(code(request), ErrorCode::kUsage);
  request = day(ProductKind::kOrbits);
  request.last = request.first + Duration{31 * 86400.0 + 1};
  EXPECT_EQ(code(request), ErrorCode::kUsage);
  request = day(ProductKind::kOrbits);
  request.first = request.last = GnssTime{};
  EXPECT_EQ(code(request), ErrorCode::kUsage);
  request = day(ProductKind::kOrbits);
  request.edge_s = -1;
  EXPECT_EQ(code(request), ErrorCode::kUsage);
  request = day(ProductKind::kOrbits);
  request.kinds.clear();
  EXPECT_EQ(code(request), ErrorCode::kUsage);
  EXPECT_EQ(code(day(ProductKind::kIonosphere)), ErrorCode::kNoData);
  request = day(ProductKind::kBiases);
  request.kinds.push_back(ProductKind::kOrbits);
  request.worst = Quality::kFinal;
  EXPECT_EQ(code(request), ErrorCode{});
}

}  // namespace
}  // namespace stillpoint::fetch
