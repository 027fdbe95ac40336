#include "stillpoint/api/station_table.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <tuple>
#include <utility>
#include <variant>

namespace stillpoint::api {
namespace {

constexpr double kRad = std::numbers::pi / 180;

config::StationConfig larch_hollow() {
  config::StationConfig config;
  config.station.name = "LHOL00XXX";
  config.rovers.listen = config::ListenAddress{"0.0.0.0", 2101};
  config.mountpoints.front().name = "LHOL0";
  return config;
}

StreamFacts seen() {
  return {.messages = "1005(10),1077(1)",
          .carrier = 2,
          .nav_system = "GPS+GLO",
          .broadcast_m = to_ecef({47.3046 * kRad, 8.9151 * kRad, 512}),
          .bits_per_second = 5600.4};
}

std::string text(const config::StationConfig& config,
                 const StreamFacts& facts = seen(),
                 bool adopted = true) {
  const auto table = station_table(config, facts, adopted);
  std::string written = ntrip::format_sourcetable(table);
  // Whoever reads it finds the same.
  const auto read = ntrip::parse_sourcetable(written);
  EXPECT_TRUE(read);
  EXPECT_EQ(read->records, table.records);
  EXPECT_EQ(read->problem_count, 0U);
  return written;
}

// kind: regression   source: our own words; order of the fields as in
// tests/vectors/ntrip.txt
// tolerance: 0, a text
TEST(StationTable, SaysWhatTheStreamSays) {
  EXPECT_EQ(text(larch_hollow()),
            "STR;LHOL0;LHOL00XXX;RTCM 3;1005(10),1077(1);2;GPS+GLO;;XXX;47.30;"
            "8.92;0;0;Stillpoint;none;B;N;5600;none\r\n"
            "ENDSOURCETABLE\r\n");
}

TEST(StationTable, KnowsNothingBeforeTheStreamCame) {
  EXPECT_EQ(text(larch_hollow(), {}),
            "STR;LHOL0;LHOL00XXX;RTCM 3;;;;;XXX;;;0;0;Stillpoint;none;B;N;;"
            "none\r\nENDSOURCETABLE\r\n");
}

TEST(StationTable, TheOwnersWordsWin) {
  auto config = larch_hollow();
  auto& mount = config.mountpoints.front();
  mount.identifier = "Larch; Hollow";
  mount.country = "QQQ";
  mount.network = "LHGC";
  mount.latitude_deg = 47.25;
  mount.longitude_deg = -8.125;
  mount.open = true;
  EXPECT_EQ(text(config),
            "NET;LHGC;LHGC;N;N;none;none;none;none\r\n"
            "STR;LHOL0;\"Larch; Hollow\";RTCM 3;1005(10),1077(1);2;GPS+GLO;"
            "LHGC;QQQ;47.25;-8.125;0;0;Stillpoint;none;N;N;5600;none\r\n"
            "ENDSOURCETABLE\r\n");
}

TEST(StationTable, EachNetworkIsNamedOnceAndAsksForALoginIfAnyStreamDoes) {
  auto config = larch_hollow();
  config.mountpoints.resize(3, config.mountpoints.front());
  config.mountpoints[0].network = config.mountpoints[1].network = "LHGC";
  config.mountpoints[0].open = true;
  config.mountpoints[1].name = "LHOL1";
  config.mountpoints[2].name = "LHOL2";
  config.mountpoints[2].network = "OPEN";
  config.mountpoints[2].open = true;
  const auto table = station_table(config, seen(), true);
  ASSERT_EQ(table.records.size(), 5U);
  for (const auto& [at, login] : {std::pair{0U, "B"}, std::pair{1U, "N"}}) {
    const auto* network = std::get_if<ntrip::NetworkRecord>(&table.records[at]);
    ASSERT_NE(network, nullptr) << at;
    EXPECT_EQ(network->authentication, login);
  }
  ASSERT_EQ(table.streams().size(), 3U);
  EXPECT_EQ(table.streams()[2]->mountpoint, "LHOL2");
}

TEST(StationTable, ACasterIsNamedByTheOneAddressThatLeadsToIt) {
  auto config = larch_hollow();
  config.mountpoints.front().network = "LHGC";
  config.rovers.listen = config::ListenAddress{"192.0.2.7", 2109};
  EXPECT_TRUE(text(config).starts_with(
      "CAS;192.0.2.7;2109;LHOL00XXX;LHGC;0;XXX;;;;;none\r\n"));
  for (const char* host : {"0.0.0.0", "::", "127.0.0.1", "127.9.9.9", "::1"}) {
    config.rovers.listen = config::ListenAddress{host, 2101};
    EXPECT_EQ(text(config).find("CAS"), std::string::npos) << host;
  }
  config.rovers.listen.reset();
  EXPECT_EQ(text(config).find("CAS"), std::string::npos);
}

// A hundredth of a degree is a kilometre: strangers do not get the place.
TEST(StationTable, TheBroadcastPlaceIsRounded) {
  auto facts = seen();
  for (const auto& [lat, lon, written] :
       {std::tuple{-47.3049, 8.925, ";-47.30;8.93;"},
        std::tuple{0.004, -0.004, ";0.00;0.00;"},
        std::tuple{89.999, 179.999, ";90.00;180.00;"},
        std::tuple{-33.005001, -179.996, ";-33.01;-180.00;"}}) {
    facts.broadcast_m = to_ecef({lat * kRad, lon * kRad + 1e-12, 512});
    EXPECT_NE(text(larch_hollow(), facts).find(written), std::string::npos)
        << written << "\n"
        << text(larch_hollow(), facts);
  }
}

TEST(StationTable, WhatIsNoPlaceIsLeftOut) {
  auto facts = seen();
  for (const Ecef& nowhere : {Ecef{}, Ecef{1e6, 1e6, 1e6}}) {
    facts.broadcast_m = nowhere;
    EXPECT_NE(text(larch_hollow(), facts).find(";XXX;;;0;"), std::string::npos);
  }
}

TEST(StationTable, AProvisionalPositionIsMarkedUntilOneIsAdopted) {
  auto config = larch_hollow();
  const auto misc = [&](bool adopted) {
    return station_table(config, seen(), adopted).streams().front()->misc;
  };
  EXPECT_EQ(misc(false), "none");
  config.trust.provisional = true;
  EXPECT_EQ(misc(false), "provisional");
  EXPECT_EQ(misc(true), "none");
}

TEST(StationTable, ARateThatCannotBeIsLeftOut) {
  auto facts = seen();
  for (const double rate : {-1.0, 1e300, std::nan("")}) {
    facts.bits_per_second = rate;
    EXPECT_FALSE(
        station_table(larch_hollow(), facts, true).streams().front()->bitrate)
        << rate;
  }
}

}  // namespace
}  // namespace stillpoint::api
