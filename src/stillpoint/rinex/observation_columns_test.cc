#include "stillpoint/rinex/observation_columns.h"

#include <gtest/gtest.h>

namespace stillpoint::rinex {
namespace {

// "C1>1C L1>1C …" for a version 2 list.
std::string mapped(System system, const std::vector<std::string>& types) {
  std::string text;
  for (const Column& column : columns_of_types2(system, types)) {
    text += (text.empty() ? "" : " ") + column.code + ">" +
            (column.signal.empty() ? "-" : column.signal.text());
  }
  return text;
}

// Which code a phase belongs to is common practice, no source.
TEST(ColumnsOfTypes2, PhasesFollowTheCodesOfTheList) {
  EXPECT_EQ(mapped(System::kGps, {"C1", "L1", "L2", "P1", "P2", "D1", "D2"}),
            "C1>1C L1>1C L2>2W P1>1W P2>2W D1>1C D2>2W");
  EXPECT_EQ(mapped(System::kGps, {"P1", "L1", "C2", "L2", "S1", "S2"}),
            "P1>1W L1>1W C2>2X L2>2X S1>1W S2>2X");
  EXPECT_EQ(mapped(System::kGps, {"L1", "L2", "C5", "L5"}),
            "L1>1C L2>2W C5>5X L5>5X");
  EXPECT_EQ(mapped(System::kGlonass, {"L1", "L2", "P1", "P2", "C1", "C2"}),
            "L1>1C L2>2P P1>1P P2>2P C1>1C C2>2C");
  EXPECT_EQ(mapped(System::kGlonass, {"C1", "C2", "L2"}), "C1>1C C2>2C L2>2C");
}

TEST(ColumnsOfTypes2, OtherSystems) {
  EXPECT_EQ(mapped(System::kGalileo, {"C1", "C5", "C6", "C7", "L8", "P2"}),
            "C1>1X C5>5X C6>6X C7>7X L8>8X P2>-");
  EXPECT_EQ(mapped(System::kSbas, {"C1", "L1", "C5", "P1"}),
            "C1>1C L1>1C C5>5I P1>-");
  EXPECT_EQ(mapped(System::kBeidou, {"C2", "C7", "C6", "C1"}),
            "C2>2I C7>7I C6>6I C1>2I");
  EXPECT_EQ(mapped(System::kQzss, {"C1", "C2", "C5", "C6"}),
            "C1>1C C2>2X C5>5X C6>6X");
}

TEST(ColumnsOfTypes2, UnknownTypesAreParsedOver) {
  const auto columns = columns_of_types2(
      System::kGps, std::vector<std::string>{"C1", "T1", "", "C9"});
  EXPECT_EQ(columns[1].kind, Kind::kOther);
  EXPECT_EQ(columns[2].kind, Kind::kOther);
  EXPECT_EQ(columns[3].kind, Kind::kOther);
}

// kind: published   source: RINEX 3.02 and 3.03, notes on B1I; shared checks
// section 7: "BeiDou B1I is C1x in 3.02, C2x from 3.03"
TEST(ColumnOfType3, BeidouBandOneIsBandTwoIn302Only) {
  const auto signal = [](double version) {
    return column_of_type3(System::kBeidou, "C1I", version).signal.text();
  };
  EXPECT_EQ(signal(3.01), "1I");
  EXPECT_EQ(signal(3.02), "2I");
  EXPECT_EQ(signal(3.03), "1I");
  EXPECT_EQ(column_of_type3(System::kGps, "C1C", 3.02).signal.text(), "1C");
}

TEST(ColumnOfType3, KindsByLetter) {
  EXPECT_EQ(column_of_type3(System::kGps, "L5Q", 3.04).kind, Kind::kPhase);
  EXPECT_EQ(column_of_type3(System::kGps, "D5Q", 3.04).kind, Kind::kDoppler);
  EXPECT_EQ(column_of_type3(System::kGps, "S5Q", 3.04).kind, Kind::kStrength);
  for (const char* other : {"I1C", "X1", "C1", "C1 ", "P1C", "C#C", ""}) {
    EXPECT_EQ(column_of_type3(System::kGps, other, 3.04).kind, Kind::kOther)
        << other;
  }
}

TEST(RowFiller, OnlySignalsWithValuesBecomeRows) {
  std::vector<Column> columns;
  for (const char* code : {"C1C", "L1C", "C5Q", "X1", "L2W"}) {
    columns.push_back(column_of_type3(System::kGps, code, 3.04));
  }
  const RowPlan plan = make_row_plan(columns);
  EXPECT_EQ(plan.blank_rows.size(), 3U);
  Epoch epoch;
  RowFiller filler(epoch, plan);
  filler.set(plan.columns[4], 5.0, 1, 7);
  filler.set(plan.columns[0], 2.0, 3, 6);
  filler.set(plan.columns[3], 9.0, 0, 0);
  filler.keep({System::kGps, 7});
  ASSERT_EQ(epoch.satellites.size(), 1U);
  ASSERT_EQ(epoch.satellites[0].count, 2);
  EXPECT_EQ(epoch.observations[0].signal.text(), "2W");
  EXPECT_EQ(epoch.observations[0].lli, 1);
  EXPECT_EQ(epoch.observations[1].code_m, 2.0);
  EXPECT_EQ(epoch.observations[1].lli, 0);  // only a phase has one
  EXPECT_EQ(epoch.observations[1].code_strength, 6);
  RowFiller dropped(epoch, plan);
  dropped.set(plan.columns[0], 2.0, 0, 0);
  dropped.drop();
  EXPECT_EQ(epoch.observations.size(), 2U);
}

}  // namespace
}  // namespace stillpoint::rinex
