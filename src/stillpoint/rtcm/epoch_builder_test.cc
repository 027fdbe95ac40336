#include "stillpoint/rtcm/epoch_builder.h"

#include <gtest/gtest.h>

namespace stillpoint::rtcm {
namespace {

Observation row(const char* signal, double code_m) {
  Observation o;
  o.signal = {signal[0], signal[1]};
  o.code_m = code_m;
  return o;
}

constexpr SatId kG5{System::kGps, 5};
constexpr SatId kE3{System::kGalileo, 3};

TEST(EpochBuilder, RowsOfASatelliteStayTogether) {
  EpochBuilder builder;
  builder.begin({});
  builder.satellite(kG5, 7);
  builder.row(row("1C", 1));
  builder.satellite(kE3, 7);
  builder.row(row("1C", 3));
  builder.satellite(kG5, 7);
  builder.row(row("2W", 2));
  const Epoch& epoch = builder.epoch();
  ASSERT_EQ(epoch.satellites.size(), 2U);
  ASSERT_EQ(epoch.rows(epoch.satellites[0]).size(), 2U);
  EXPECT_EQ(epoch.rows(epoch.satellites[0])[1].code_m, 2);
  ASSERT_EQ(epoch.rows(epoch.satellites[1]).size(), 1U);
  EXPECT_EQ(epoch.rows(epoch.satellites[1])[0].code_m, 3);
}

TEST(EpochBuilder, OfOneSignalTheHigherLevelStays) {
  EpochBuilder builder;
  builder.begin({});
  builder.satellite(kG5, 4);
  builder.row(row("1C", 1));
  builder.satellite(kG5, 7);
  builder.row(row("1C", 2));
  builder.satellite(kG5, 5);
  builder.row(row("1C", 3));
  ASSERT_EQ(builder.epoch().observations.size(), 1U);
  EXPECT_EQ(builder.epoch().observations[0].code_m, 2);
}

TEST(EpochBuilder, SatellitesWithoutValuesAreLeftOut) {
  EpochBuilder builder;
  builder.begin({});
  builder.satellite(kG5, 7);
  builder.row(Observation{});
  EXPECT_TRUE(builder.epoch().satellites.empty());
  EXPECT_TRUE(builder.empty());
}

TEST(EpochBuilder, ANewEpochForgetsTheOld) {
  EpochBuilder builder;
  builder.begin({});
  builder.satellite(kG5, 7);
  builder.row(row("1C", 1));
  builder.end();
  EXPECT_FALSE(builder.started());
  builder.begin(GnssTime::from_ns(5));
  builder.satellite(kG5, 4);
  builder.row(row("1C", 9));
  ASSERT_EQ(builder.epoch().observations.size(), 1U);
  EXPECT_EQ(builder.epoch().observations[0].code_m, 9);
  EXPECT_EQ(builder.time(), GnssTime::from_ns(5));
}

}  // namespace
}  // namespace stillpoint::rtcm
