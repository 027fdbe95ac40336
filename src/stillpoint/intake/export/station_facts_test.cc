#include "stillpoint/intake/export/station_facts.h"

#include <gtest/gtest.h>

#include <algorithm>

namespace stillpoint::intake {
namespace {

StationFacts sent() {
  StationFacts facts;
  rtcm::StationPosition position;
  position.arp_m = {4'278'000.0, 671'000.0, 4'665'000.0};
  position.antenna_height_m = 0.5;
  facts.take(position);
  rtcm::AntennaDescription names;
  names.descriptor = "SPDEMO-A1       NONE";
  names.serial = "0001";
  names.receiver_type = "SPDEMO-R1";
  names.receiver_serial = "77";
  names.firmware = "1.0";
  facts.take(names);
  return facts;
}

bool has(const std::vector<ExportWarning>& warnings, const std::string& part) {
  return std::any_of(warnings.begin(), warnings.end(), [&](const auto& w) {
    return w.what.find(part) != std::string::npos;
  });
}

TEST(StationFacts, AMessageWithoutAHeightForgetsNone) {
  StationFacts facts = sent();
  rtcm::StationPosition position;
  position.arp_m = {1, 2, 3};
  facts.take(position);
  EXPECT_EQ(facts.antenna_height_m, 0.5);
  EXPECT_EQ(facts.arp_m->x_m, 1);
}

TEST(StationFacts, NamesBecomePrintable) {
  StationFacts facts;
  rtcm::AntennaDescription names;
  names.descriptor = "SP\x1b[2J\xe9 ";
  names.descriptor += '\0';
  facts.take(names);
  EXPECT_EQ(facts.antenna, "SP?[2J? ?");
  EXPECT_FALSE(facts.antenna_serial);
}

TEST(StationFacts, WhatIsNotKnownIsFilledFromLater) {
  StationFacts early;
  early.antenna = "SPDEMO-A2       NONE";
  early.fill_from(sent());
  EXPECT_EQ(early.antenna, "SPDEMO-A2       NONE");
  EXPECT_EQ(early.receiver, "SPDEMO-R1");
}

TEST(AntennaColumns, PutTheRadomeIntoItsOwn) {
  EXPECT_EQ(antenna_columns("SPDEMO-A1 NONE"), "SPDEMO-A1       NONE");
  EXPECT_EQ(antenna_columns("SPDEMO-A1       NONE"), "SPDEMO-A1       NONE");
  EXPECT_EQ(antenna_columns("SPDEMO-A1"), "SPDEMO-A1");
  EXPECT_EQ(antenna_columns("SPDEMO A1"), "SPDEMO A1");
  EXPECT_EQ(antenna_columns(""), "");
  EXPECT_EQ(antenna_columns("ABCDEFGHIJKLMNOPQ NONE"), "ABCDEFGHIJKLMNOPQ NO");
}

TEST(DescribeStation, TakesWhatTheReceiverSends) {
  rinex::ObservationHeader header;
  describe_station({}, sent(), header);
  EXPECT_EQ(header.antenna_type, "SPDEMO-A1       NONE");
  EXPECT_EQ(header.antenna_serial, "0001");
  EXPECT_EQ(header.receiver_type, "SPDEMO-R1");
  EXPECT_EQ(header.receiver_serial, "77");
  EXPECT_EQ(header.receiver_version, "1.0");
  EXPECT_EQ(header.antenna_delta_enu_m.u_m, 0.5);
}

// kind: cross   the vector from the marker to the reference point, taken apart
// in the marker's own axes
// tolerance: 1e-6 m, the axes of the two points differ by 1e-7 rad times 1 m
TEST(DescribeStation, ThePositionIsThatOfTheMarker) {
  OwnDescription own;
  own.height_m = 1.25;
  own.east_m = 0.1;
  own.north_m = -0.2;
  rinex::ObservationHeader header;
  const StationFacts facts = sent();
  describe_station(own, facts, header);
  ASSERT_TRUE(header.approx_position_m);
  const Enu up = to_enu(*facts.arp_m, *header.approx_position_m);
  EXPECT_NEAR(up.u_m, 1.25, 1e-6);
  EXPECT_NEAR(up.e_m, 0.1, 1e-6);
  EXPECT_NEAR(up.n_m, -0.2, 1e-6);
  EXPECT_EQ(header.antenna_delta_enu_m.n_m, -0.2);
}

TEST(DescribeStation, TheOwnersWordsHoldAndADifferenceIsSaid) {
  OwnDescription own;
  own.antenna = "SPDEMO-A2 NONE";
  own.height_m = 0.6;
  rinex::ObservationHeader header;
  describe_station(own, sent(), header);
  EXPECT_EQ(header.antenna_type, "SPDEMO-A2       NONE");
  EXPECT_EQ(header.antenna_delta_enu_m.u_m, 0.6);
  const auto warnings = compare_description(own, sent());
  EXPECT_EQ(warnings.size(), 2U);
  EXPECT_TRUE(has(warnings, "SPDEMO-A2"));
  EXPECT_TRUE(has(warnings, "0.6000 m"));
}

TEST(CompareDescription, SaysNothingWhereBothAgree) {
  OwnDescription own;
  own.antenna = "SPDEMO-A1 NONE";
  own.receiver = "SPDEMO-R1";
  own.height_m = 0.5;
  EXPECT_TRUE(compare_description(own, sent()).empty());
}

TEST(CompareDescription, SaysWhatNobodySays) {
  const auto warnings = compare_description({}, {});
  EXPECT_TRUE(has(warnings, "the antenna's type is not known"));
  EXPECT_TRUE(has(warnings, "the receiver's type is not known"));
  EXPECT_TRUE(has(warnings, "no coordinate"));
}

TEST(DescribeStation, BiasesAreThoseThatWereSent) {
  StationFacts facts;
  facts.biases.emplace();
  facts.biases->bias_m = {0.5, std::nullopt, -1.0, std::nullopt};
  rinex::ObservationHeader header;
  describe_station({}, facts, header);
  ASSERT_EQ(header.glonass_bias_m.size(), 2U);
  EXPECT_EQ((header.glonass_bias_m[{'1', 'C'}]), 0.5);
  EXPECT_EQ((header.glonass_bias_m[{'2', 'C'}]), -1.0);
}

}  // namespace
}  // namespace stillpoint::intake
