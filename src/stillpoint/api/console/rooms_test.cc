// What the rooms' documents say of what station.db holds.
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "stillpoint/api/console/console_test_support.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::api {
namespace {

using test::ConsoleTest;

// GPST is 18 s ahead of UTC since 2017 (checks 9).
TEST(ConsoleRooms, TimesInTheLogbooksDetailsAreUtcLikeAllOthers) {
  ConsoleTest station;
  const GnssTime from = parse_time("2026-06-02T10:00:18").value();
  ASSERT_TRUE(station.backend->store().logbook().append(
      {from,
       LogKind::kGap,
       "no byte came",
       {{"cause", std::string("unplugged")},
        {"from_gpst_ns", from.ns()},
        {"lasted_s", 2.5}}}));
  auto owner = station.owner();
  const auto answer =
      nlohmann::json::parse(owner.get("/api/v1/logbook?kind=gap").body);
  const auto& details = answer.at("entries").at(0).at("details");
  EXPECT_EQ(details,
            (nlohmann::json{{"cause", "unplugged"},
                            {"from", "2026-06-02T10:00:00Z"},
                            {"lasted_s", 2.5}}));
}

}  // namespace
}  // namespace stillpoint::api
