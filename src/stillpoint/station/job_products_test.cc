#include "stillpoint/station/job_products.h"

#include <gtest/gtest.h>

#include "stillpoint/time/scales.h"

namespace stillpoint::station {
namespace {

using fetch::Quality;
using Paths = std::vector<std::string>;

GnssTime gpst(const char* text) {
  return parse_time(text).value();
}

// kind: cross   source: the form of long names in fetch/file_name.h
TEST(ShelfFile, ALongNameSaysWhatItIsAndWhenItHolds) {
  const auto file =
      shelf_file("/srv/AAA0OPSFIN_20261530000_01D_15M_ORB.SP3.gz");
  ASSERT_TRUE(file);
  EXPECT_EQ(file->kind, ShelfKind::kOrbits);
  EXPECT_EQ(file->line, "AAA0OPSFIN");
  EXPECT_EQ(file->quality, Quality::kFinal);
  EXPECT_EQ(file->first, gpst("2026-06-02"));
  EXPECT_EQ(file->end, gpst("2026-06-03"));
  const auto ultra = shelf_file("AAA0OPSULT_20261531800_02D_05M_ORB.SP3");
  EXPECT_EQ(ultra->quality, Quality::kUltra);
  EXPECT_EQ(ultra->first, gpst("2026-06-02T18:00:00"));
  EXPECT_EQ(ultra->end, gpst("2026-06-04T18:00:00"));
}

TEST(ShelfFile, KnowsItsKindByTheName) {
  const auto kind = [](const char* name) { return shelf_file(name)->kind; };
  EXPECT_EQ(kind("AAA0OPSRAP_20261530000_01D_30S_CLK.CLK.gz"),
            ShelfKind::kClocks);
  EXPECT_EQ(kind("AAA0OPSRAP_20261530000_01D_01D_OSB.BIA"), ShelfKind::kBiases);
  EXPECT_EQ(kind("AAA0OPSRAP_20261530000_01D_01D_ERP.ERP"), ShelfKind::kEarth);
  EXPECT_EQ(kind("/p/our.ATX.gz"), ShelfKind::kAntennas);
  EXPECT_EQ(kind("/p/roof.blq"), ShelfKind::kLoading);
}

// Week 2421 begins on 2026-05-31, a Sunday.
//
// kind: cross   source: the GPS week counts from 1980-01-06
TEST(ShelfFile, AShortNameHasAWeekAndADay) {
  const auto file = shelf_file("/srv/aaa24212.sp3.Z");
  ASSERT_TRUE(file);
  EXPECT_EQ(file->first, gpst("2026-06-02"));
  EXPECT_EQ(file->end, gpst("2026-06-03"));
  EXPECT_EQ(file->line, "aaa");
  EXPECT_EQ(shelf_file("igr24212.sp3")->quality, Quality::kRapid);
  EXPECT_EQ(shelf_file("aaa24212.clk_30s.Z")->kind, ShelfKind::kClocks);
  const auto week = shelf_file("aaa24217.erp");
  EXPECT_EQ(week->first, gpst("2026-05-31"));
  EXPECT_EQ(week->end, gpst("2026-06-07"));
}

TEST(ShelfFile, OtherNamesAreNone) {
  for (const char* name : {"",
                           "readme.txt",
                           "AAA0OPSFIN_20263670000_01D_15M_ORB.SP3",
                           "AAA0OPSFIN_20261532400_01D_15M_ORB.SP3",
                           "AAA0OPSFIN_20261530000_01X_15M_ORB.SP3",
                           "AAA0OPSFIN_20261530000_01D_15M_ORB.CLK",
                           "AAA0OPSFIN_2026153_01D_15M_ORB.SP3",
                           "aaa2421x.sp3",
                           "aaa24218.sp3",
                           "LHOL00XXX_S_20261530000_01D_30S_MO.crx.gz"}) {
    EXPECT_FALSE(shelf_file(name)) << name;
  }
}

Paths day_files(const std::string& line, const char* day) {
  return {"/p/" + line + "_2026" + day + "0000_01D_15M_ORB.SP3.gz",
          "/p/" + line + "_2026" + day + "0000_01D_30S_CLK.CLK.gz"};
}

Paths operator+(Paths a, const Paths& b) {
  a.insert(a.end(), b.begin(), b.end());
  return a;
}

TEST(ProductShelf, GivesTheBestLineThatCoversAllOfTheSpan) {
  const ProductShelf shelf(day_files("BBB0OPSRAP", "153") +
                           day_files("BBB0OPSRAP", "154") +
                           day_files("AAA0OPSFIN", "153"));
  const auto first = shelf.choose(gpst("2026-06-02"), gpst("2026-06-03"));
  ASSERT_TRUE(first);
  EXPECT_EQ(first->line, "AAA0OPSFIN");
  EXPECT_EQ(first->orbits,
            Paths{"/p/AAA0OPSFIN_20261530000_01D_15M_ORB.SP3.gz"});
  const auto both =
      shelf.choose(gpst("2026-06-02T12:00:00"), gpst("2026-06-03T12:00:00"));
  ASSERT_TRUE(both);
  EXPECT_EQ(both->line, "BBB0OPSRAP");
  EXPECT_EQ(both->orbits.size(), 2U);
  EXPECT_EQ(both->clocks.size(), 2U);
  EXPECT_FALSE(shelf.choose(gpst("2026-06-03"), gpst("2026-06-05")));
  EXPECT_EQ(
      shelf.choose(gpst("2026-06-02"), gpst("2026-06-03"), {"AAA0OPSFIN"})
          ->line,
      "BBB0OPSRAP");
}

TEST(ProductShelf, OrbitsWithoutClocksOfTheSameLineAreNothing) {
  Paths paths = day_files("AAA0OPSFIN", "153");
  paths[1] = "/p/BBB0OPSFIN_20261530000_01D_30S_CLK.CLK.gz";
  EXPECT_FALSE(
      ProductShelf(paths).choose(gpst("2026-06-02"), gpst("2026-06-03")));
}

TEST(ProductShelf, TakesNeighboursForTheEdges) {
  const ProductShelf shelf(day_files("AAA0OPSFIN", "152") +
                           day_files("AAA0OPSFIN", "153") +
                           day_files("AAA0OPSFIN", "154"));
  const auto set = shelf.choose(gpst("2026-06-02"), gpst("2026-06-03"));
  ASSERT_TRUE(set);
  ASSERT_EQ(set->orbits.size(), 3U);
  EXPECT_NE(set->orbits[0].find("2026152"), std::string::npos);
  EXPECT_NE(set->orbits[2].find("2026154"), std::string::npos);
}

TEST(ProductShelf, OfOverlappingFilesOneIsEnough) {
  const ProductShelf shelf({"/p/AAA0OPSULT_20261530000_02D_15M_ORB.SP3",
                            "/p/AAA0OPSULT_20261530600_02D_15M_ORB.SP3",
                            "/p/AAA0OPSULT_20261530000_02D_15M_CLK.CLK",
                            "/p/AAA0OPSULT_20261530600_02D_15M_CLK.CLK"});
  const auto set =
      shelf.choose(gpst("2026-06-02T08:00:00"), gpst("2026-06-03T08:00:00"));
  ASSERT_TRUE(set);
  EXPECT_EQ(set->orbits, Paths{"/p/AAA0OPSULT_20261530600_02D_15M_ORB.SP3"});
}

TEST(ProductShelf, AddsWhatElseIsThere) {
  const ProductShelf shelf(day_files("AAA0OPSFIN", "153") +
                           Paths{"/p/AAA0OPSFIN_20261530000_01D_01D_OSB.BIA",
                                 "/p/BBB0OPSFIN_20261530000_01D_01D_OSB.BIA",
                                 "/p/BBB0OPSFIN_20261530000_01D_01D_ERP.ERP",
                                 "/p/our.atx",
                                 "/p/roof.BLQ"});
  const auto set = shelf.choose(gpst("2026-06-02"), gpst("2026-06-03"));
  ASSERT_TRUE(set);
  EXPECT_EQ(set->biases, Paths{"/p/AAA0OPSFIN_20261530000_01D_01D_OSB.BIA"});
  EXPECT_EQ(set->earth, "/p/BBB0OPSFIN_20261530000_01D_01D_ERP.ERP");
  EXPECT_EQ(set->antennas, "/p/our.atx");
  EXPECT_EQ(set->loading, "/p/roof.BLQ");
}

}  // namespace
}  // namespace stillpoint::station
