#include "stillpoint/station/job_plan.h"

#include <gtest/gtest.h>

#include "stillpoint/time/scales.h"

namespace stillpoint::station {
namespace {

using fetch::Quality;

constexpr double kHour = 3600, kDay = 86'400;

GnssTime gpst(const char* text) {
  return parse_time(text).value();
}
// Seconds into a day of GPST.
GnssTime at(double s) {
  return gpst("2026-06-02") + Duration{s};
}

PlanInput recorded(double first_s, double last_s) {
  PlanInput input;
  input.recorded = {
      {at(first_s), at(last_s), at(first_s), at(last_s)},
  };
  input.now = at(last_s);
  return input;
}

ProductShelf shelf_of(const std::vector<std::string>& lines,
                      const std::vector<int>& days) {
  std::vector<std::string> paths;
  for (const std::string& line : lines) {
    for (const int day : days) {
      const std::string begin = "/p/" + line + "_2026" + std::to_string(day);
      paths.push_back(begin + "0000_01D_15M_ORB.SP3");
      paths.push_back(begin + "0000_01D_30S_CLK.CLK");
    }
  }
  return ProductShelf(paths);
}

// What is asked for as the epochs go on, one look a minute.
std::vector<JobRequest> growth_of(PlanInput input, double to_s) {
  std::vector<JobRequest> asked;
  while ((input.recorded[0].last - at(0)).s < to_s) {
    input.recorded[0].last = input.recorded[0].last + Duration{60};
    input.now = input.recorded[0].last;
    if (const auto growth = plan_jobs(input).growth) {
      asked.push_back(growth->request);
      remember_growth(input.memory, growth->request.end);
    }
  }
  return asked;
}

TEST(Growth, ComesTwiceInTheFirstHourAndThenEveryHour) {
  const auto asked = growth_of(recorded(100, 100), 3.5 * kHour);
  ASSERT_EQ(asked.size(), 5U);
  const std::vector<double> ends{1000, 1900, 3700, 7300, 10'900};
  for (std::size_t i = 0; i < ends.size(); ++i) {
    EXPECT_EQ(asked[i].start, at(100));
    EXPECT_EQ(asked[i].end, at(ends[i])) << i;
    EXPECT_EQ(asked[i].method, i < 2 ? JobMethod::kCode : JobMethod::kAuto);
    EXPECT_EQ(asked[i].kind, JobKind::kGrowth);
    EXPECT_EQ(asked[i].by, "station");
  }
}

TEST(Growth, AfterAWholeDayComesOnceADayAndIsOfTheLastOne) {
  const auto asked = growth_of(recorded(0, 0), 49 * kHour);
  ASSERT_EQ(asked.size(), 2U + 24U + 1U);
  EXPECT_EQ(asked[25].end, at(24 * kHour));
  EXPECT_EQ(asked[25].start, at(0));
  const JobRequest& last = asked.back();
  EXPECT_EQ(last.end, at(48 * kHour));
  EXPECT_EQ(last.start, at(24 * kHour));
}

TEST(Growth, OfARecordingThatIsPlayedFastIsTheNewestHourOnly) {
  PlanInput input = recorded(0, 7.7 * kHour);
  input.now = at(1e8);
  const auto first = plan_jobs(input).growth;
  ASSERT_TRUE(first);
  EXPECT_EQ(first->request.end, at(7 * kHour));
  remember_growth(input.memory, first->request.end);
  EXPECT_FALSE(plan_jobs(input).growth);
  input.recorded[0].last = at(16.2 * kHour);
  const auto second = plan_jobs(input).growth;
  ASSERT_TRUE(second);
  EXPECT_EQ(second->request.end, at(16 * kHour));
}

TEST(Growth, IsNotAskedWhileOneWaitsOrRuns) {
  PlanInput input = recorded(0, 2 * kHour);
  ASSERT_TRUE(plan_jobs(input).growth);
  input.growth_waits = true;
  EXPECT_FALSE(plan_jobs(input).growth);
  input.growth_waits = false;
  input.settings.growth = false;
  EXPECT_FALSE(plan_jobs(input).growth);
}

TEST(Growth, NeedsAQuarterOfAnHour) {
  EXPECT_FALSE(plan_jobs(PlanInput{}).growth);
  EXPECT_FALSE(plan_jobs(recorded(0, 899)).growth);
  EXPECT_TRUE(plan_jobs(recorded(0, 900)).growth);
}

TEST(Growth, BeginsAgainAfterADayWithoutData) {
  PlanInput input = recorded(0, 2 * kHour);
  remember_growth(input.memory, at(2 * kHour));
  input.recorded.push_back(
      {at(30 * kHour), at(30.3 * kHour), at(30 * kHour), at(30.3 * kHour)});
  const auto growth = plan_jobs(input).growth;
  ASSERT_TRUE(growth);
  EXPECT_EQ(growth->request.start, at(30 * kHour));
  EXPECT_EQ(growth->request.end, at(30.25 * kHour));
  EXPECT_EQ(growth->request.method, JobMethod::kCode);
}

TEST(Growth, LeavesOutWhatIsOfAnotherPlace) {
  PlanInput input = recorded(0, 10 * kHour);
  remember_growth(input.memory, at(8 * kHour));
  input.not_before = at(9.5 * kHour);
  const auto growth = plan_jobs(input).growth;
  ASSERT_TRUE(growth);
  EXPECT_EQ(growth->request.start, at(9.5 * kHour));
  EXPECT_EQ(growth->request.end, at(10 * kHour));
}

TEST(Growth, AfterARestartGoesOnWhereItWas) {
  PlanInput input = recorded(0, 5.5 * kHour);
  remember_growth(input.memory, at(5 * kHour));
  EXPECT_FALSE(plan_jobs(input).growth);
  input.recorded[0].last = at(6 * kHour);
  EXPECT_EQ(plan_jobs(input).growth->request.end, at(6 * kHour));
}

TEST(Growth, IsFetchedForOnlyWithUltraRapidProducts) {
  PlanInput input = recorded(0, 2 * kHour);
  input.lines = {{Quality::kRapid, 17 * kHour}};
  EXPECT_FALSE(plan_jobs(input).growth->fetch);
  input.lines.push_back({Quality::kUltra, 3 * kHour});
  EXPECT_TRUE(plan_jobs(input).growth->fetch);
}

PlanInput whole_day() {
  PlanInput input = recorded(-2 * kHour, kDay + 60);
  input.settings.growth = false;
  input.settings.products = "/p";
  return input;
}

TEST(Day, IsAskedAtOnceWhereTheShelfCoversIt) {
  PlanInput input = whole_day();
  EXPECT_FALSE(plan_jobs(input).day);
  input.shelf = shelf_of({"AAA0OPSRAP"}, {153});
  const auto day = plan_jobs(input).day;
  ASSERT_TRUE(day);
  EXPECT_EQ(day->request.start, at(0));
  EXPECT_EQ(day->request.end, at(kDay));
  EXPECT_EQ(day->request.method, JobMethod::kPpp);
  EXPECT_FALSE(day->fetch);
  input.day_waits = true;
  EXPECT_FALSE(plan_jobs(input).day);
  input.day_waits = false;
  input.settings.day = false;
  EXPECT_FALSE(plan_jobs(input).day);
}

TEST(Day, MustBeOver) {
  PlanInput input = whole_day();
  input.shelf = shelf_of({"AAA0OPSRAP"}, {153});
  input.recorded[0].last = at(kDay - 30);
  input.now = at(kDay + 700);
  EXPECT_FALSE(plan_jobs(input).day);  // the next epoch may still come
  input.idle_s = 700;
  EXPECT_TRUE(plan_jobs(input).day);
  input.now = at(kDay - 10);
  EXPECT_FALSE(plan_jobs(input).day);
}

TEST(Day, NeedsTwelveHoursOfEpochs) {
  PlanInput input = whole_day();
  input.shelf = shelf_of({"AAA0OPSRAP"}, {153});
  input.recorded[0].first = at(12.1 * kHour);
  EXPECT_FALSE(plan_jobs(input).day);
  // Two parts count together.
  input.recorded.push_back({at(0), at(kHour), at(0), at(kHour)});
  EXPECT_TRUE(plan_jobs(input).day);
  input.not_before = at(10);
  EXPECT_FALSE(plan_jobs(input).day);
}

TEST(Day, IsDoneAgainWithBetterProductsAndNeverWithTheSame) {
  PlanInput input = whole_day();
  input.shelf = shelf_of({"AAA0OPSRAP"}, {153});
  ASSERT_TRUE(plan_jobs(input).day);
  remember_day(input.memory, at(0), "AAA0OPSRAP");
  EXPECT_FALSE(plan_jobs(input).day);
  input.shelf = shelf_of({"AAA0OPSRAP", "BBB0OPSRAP"}, {153});
  EXPECT_FALSE(plan_jobs(input).day);  // another, but no better
  input.shelf = shelf_of({"AAA0OPSRAP", "BBB0OPSFIN"}, {153});
  const auto better = plan_jobs(input).day;
  ASSERT_TRUE(better);
  EXPECT_EQ(better->not_these, std::vector<std::string>{"AAA0OPSRAP"});
  remember_day(input.memory, at(0), "BBB0OPSFIN");
  input.shelf = shelf_of({"AAA0OPSULT", "AAA0OPSRAP", "BBB0OPSFIN"}, {153});
  EXPECT_FALSE(plan_jobs(input).day);
}

TEST(Day, ThatFailedIsTriedAgainAfterSixHoursAndNotForEver) {
  PlanInput input = whole_day();
  input.shelf = shelf_of({"AAA0OPSRAP"}, {153});
  const GnssTime first = input.now;
  int tries = 0;
  for (int minute = 0; minute < 60 * 24 * 40; minute += 10) {
    input.now = first + Duration{minute * 60.0};
    if (const auto day = plan_jobs(input).day) {
      ++tries;
      remember_try(input.memory, *day, input.now);
      EXPECT_EQ(minute % 360, 0);
    }
  }
  EXPECT_EQ(tries, 100);
}

TEST(Day, TheNewestComesFirst) {
  PlanInput input = recorded(0, 3 * kDay);
  input.settings.growth = false;
  input.shelf = shelf_of({"AAA0OPSRAP"}, {153, 154, 155});
  std::vector<GnssTime> order;
  while (const auto day = plan_jobs(input).day) {
    order.push_back(day->request.start);
    remember_day(input.memory, day->request.start, "AAA0OPSRAP");
    ASSERT_LT(order.size(), 10U);
  }
  EXPECT_EQ(order, (std::vector<GnssTime>{at(2 * kDay), at(kDay), at(0)}));
}

// Rapid after 17 hours, final after 13 days: one look every ten minutes.
TEST(Day, IsFetchedForWhenBetterProductsAreDue) {
  PlanInput input = whole_day();
  input.lines = {{Quality::kFinal, 13 * kDay}, {Quality::kRapid, 17 * kHour}};
  std::vector<double> tried_h;
  for (int minute = 0; minute < 60 * 24 * 40; minute += 10) {
    input.now = at(kDay + minute * 60.0);
    input.recorded[0].last = input.now;
    input.recorded[0].first = at(0);
    PlanInput only = input;
    only.recorded = {{at(0), at(kDay), at(0), at(kDay)},
                     {input.now, input.now, input.now, input.now}};
    const auto day = plan_jobs(only).day;
    if (!day || day->request.start != at(0)) {
      continue;
    }
    EXPECT_TRUE(day->fetch);
    tried_h.push_back(minute / 60.0);
    remember_try(input.memory, *day, input.now);
    if (tried_h.size() == 3) {
      remember_day(input.memory, at(0), "AAA0OPSRAP");
    }
  }
  ASSERT_GT(tried_h.size(), 4U);
  EXPECT_EQ(tried_h[0], 17);
  EXPECT_EQ(tried_h[1], 23);
  EXPECT_EQ(tried_h[2], 29);
  EXPECT_EQ(tried_h[3], 13 * 24);  // what came was rapid; final is due then
  EXPECT_EQ(tried_h[4], 13 * 24 + 6);
  EXPECT_LE(tried_h.back(), 25 * 24);
  remember_day(input.memory, at(0), "AAA0OPSFIN");
  input.now = at(20 * kDay);
  EXPECT_FALSE(plan_jobs(input).day && plan_jobs(input).day->fetch &&
               plan_jobs(input).day->request.start == at(0));
}

TEST(Day, IsNotFetchedForInTheFirstSixHours) {
  PlanInput input = whole_day();
  input.lines = {{Quality::kUltra, 3 * kHour}};
  input.now = at(kDay + 5.9 * kHour);
  EXPECT_FALSE(plan_jobs(input).day);
  input.now = at(kDay + 6 * kHour);
  EXPECT_TRUE(plan_jobs(input).day);
}

TEST(Day, OfARecordingThatIsYearsOldIsFetchedForOnce) {
  PlanInput input = whole_day();
  input.lines = {{Quality::kFinal, 13 * kDay}};
  input.now = at(2000 * kDay);
  const auto day = plan_jobs(input).day;
  ASSERT_TRUE(day);
  remember_try(input.memory, *day, input.now);
  remember_day(input.memory, at(0), "AAA0OPSFIN");
  input.now = at(2001 * kDay);
  EXPECT_FALSE(plan_jobs(input).day);
}

TEST(Note, SaysWhyOnlyCodesGrow) {
  PlanInput input = recorded(0, 2 * kHour);
  EXPECT_NE(plan_jobs(input).note.find("names no folder"), std::string::npos);
  input.settings.products = "/p";
  EXPECT_NE(plan_jobs(input).note.find("2026-06-02"), std::string::npos);
  input.shelf = shelf_of({"AAA0OPSRAP"}, {153});
  EXPECT_EQ(plan_jobs(input).note, "");
  input.settings = {};
  input.settings.fetch = true;
  EXPECT_NE(plan_jobs(input).note.find("archives"), std::string::npos);
  input.lines = {{Quality::kRapid, 1}};
  EXPECT_EQ(plan_jobs(input).note, "");
  input.settings.growth = input.settings.day = false;
  EXPECT_NE(plan_jobs(input).note.find("off"), std::string::npos);
}

TEST(FetchLines, AreOrbitsWithClocksOfTheSame) {
  fetch::ArchiveList list;
  const auto add = [&](fetch::ProductKind kind,
                       Quality quality,
                       const char* agency,
                       double latency_s) {
    fetch::ProductLine line;
    line.kind = kind;
    line.quality = quality;
    line.agency = agency;
    line.campaign = "OPS";
    line.latency_s = latency_s;
    list.products.push_back(line);
  };
  add(fetch::ProductKind::kOrbits, Quality::kFinal, "AAA", 100);
  add(fetch::ProductKind::kClocks, Quality::kFinal, "AAA", 200);
  add(fetch::ProductKind::kOrbits, Quality::kRapid, "AAA", 10);
  add(fetch::ProductKind::kClocks, Quality::kRapid, "BBB", 10);
  const auto lines = fetch_lines(list);
  ASSERT_EQ(lines.size(), 1U);
  EXPECT_EQ(lines[0].quality, Quality::kFinal);
  EXPECT_EQ(lines[0].latency_s, 200);
}

}  // namespace
}  // namespace stillpoint::station
