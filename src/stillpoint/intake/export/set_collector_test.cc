#include "stillpoint/intake/export/set_collector.h"

#include <gtest/gtest.h>

namespace stillpoint::intake {
namespace {

KeplerEphemeris kepler() {
  KeplerEphemeris e;
  e.sat = {System::kGps, 7};
  e.toe = e.toc = GnssTime::from_gps_week(2421, 7200);
  e.iode = 9;
  return e;
}

TEST(SetCollector, TakesASetThatIsSentAgainOnce) {
  SetCollector sets;
  for (int i = 0; i < 3; ++i) {
    sets.add(kepler());
  }
  EXPECT_EQ(sets.size(), 1U);
}

TEST(SetCollector, ATimeOfSendingMakesNoOtherSet) {
  SetCollector sets;
  StateEphemeris e;
  e.sat = {System::kGlonass, 3};
  e.toe = GnssTime::from_gps_week(2421, 900);
  e.transmitted = e.toe;
  sets.add(e);
  e.transmitted = e.toe + Duration{30};
  sets.add(e);
  EXPECT_EQ(sets.data().state.size(), 1U);
  e.health = 1;
  sets.add(e);
  EXPECT_EQ(sets.data().state.size(), 2U);
}

TEST(SetCollector, TellsIssuesMessagesAndHealthApart) {
  SetCollector sets;
  KeplerEphemeris e = kepler();
  sets.add(e);
  e.iode = 10;
  sets.add(e);
  e.health = 63;
  sets.add(e);
  e.message = NavMessage::kCnav;
  sets.add(e);
  e.af0_s = 1e-9;
  sets.add(e);
  EXPECT_EQ(sets.data().kepler.size(), 5U);
}

}  // namespace
}  // namespace stillpoint::intake
