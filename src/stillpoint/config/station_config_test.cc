// What a right file becomes.
#include "stillpoint/config/station_config.h"

#include "stillpoint/config/station_test_support.h"

namespace stillpoint::config {
namespace {

TEST(StationConfig, WhatIsNotSaidHasItsDefault) {
  StationConfig expected;
  expected.station.name = "LHOL00XXX";
  expected.mountpoints[0].name = "LHOL";
  EXPECT_EQ(config_of(with_needed("")), expected);
  EXPECT_EQ(config_of(with_needed("[archive]\n[rovers]\n")), expected);
}

TEST(StationConfig, EveryValueArrivesWhereItBelongs) {
  const StationConfig c = config_of(R"(
[station]
name = "LHOL00XXX"
state = "/srv/still point"
marker_number = "LHOL-1"
observer = "growers"
agency = "Larch Hollow Growers"
[receiver]
source = "serial:/dev/ttyS1?baud=9600"
profile = "/etc/stillpoint/own.toml"
nav_sources = ["serial:/dev/ttyS2", "/srv/brdc.rnx", "/srv/a:b.rnx"]
pass_through = "tcp:5001"
silence_s = 3600
type = "SPDEMO-R1"
serial = "0002"
firmware = "1.0"
[antenna]
type = "SPDEMO-A1 NONE"
serial = "0001"
height_m = -0.5
east_m = 1
north_m = 0.25
[archive]
commit_s = 10
keep_days = 400
keep_mb = 20_000
leave_free_mb = 64
compression = 19
[rovers]
listen = "0.0.0.0:2101"
tls_listen = "[::]:2102"
certificate = "/etc/c.pem"
key = "/etc/c.key"
most = 9000
most_per_address = 7
lag_kb = 64
lag_s = 5
write_deadline_s = 6
request_deadline_s = 4
drop = "1033 1230"
station_id = "17"
[[mountpoint]]
name = "LHOL"
identifier = "Larch Hollow"
country = "XXX"
network = "Larch Hollow Growers"
latitude_deg = 47.3
longitude_deg = -9
open = true
most = 20
[[mountpoint]]
name = "lhol"
[trust]
provisional = true
withhold = "all"
[solve]
growth = false
day = false
products = "/srv/products"
fetch = true
archives = "/etc/archives.toml"
antennas = "/srv/a.atx"
loading = "/srv/l.blq"
earth = "/srv/e.erp"
memory_mb = 250
longest_min = 90
[console]
listen = "192.168.1.5:443"
certificate = "/etc/d.pem"
key = "/etc/d.key"
[health]
listen = ""
[log]
level = "debug"
format = "json"
)");
  StationConfig e;
  e.station = {"LHOL00XXX",
               "/srv/still point",
               "LHOL-1",
               "growers",
               "Larch Hollow Growers"};
  e.receiver = {"serial:/dev/ttyS1?baud=9600",
                "/etc/stillpoint/own.toml",
                {"serial:/dev/ttyS2", "/srv/brdc.rnx", "/srv/a:b.rnx"},
                "tcp:5001",
                3600,
                "SPDEMO-R1",
                "0002",
                "1.0"};
  e.antenna = {"SPDEMO-A1 NONE", "0001", -0.5, 1, 0.25};
  e.archive = {10, 400, 20'000, 64, 19};
  e.rovers = {ListenAddress{"0.0.0.0", 2101},
              ListenAddress{"::", 2102},
              "/etc/c.pem",
              "/etc/c.key",
              9000,
              7,
              64,
              5,
              6,
              4,
              "1033 1230",
              "17"};
  e.mountpoints = {{"LHOL",
                    "Larch Hollow",
                    "XXX",
                    "Larch Hollow Growers",
                    47.3,
                    -9,
                    true,
                    20},
                   {"lhol", "", "", "", {}, {}, false, 0}};
  e.trust = {true, Withhold::kAll};
  e.solve = {false,
             false,
             true,
             "/etc/archives.toml",
             "/srv/products",
             "/srv/a.atx",
             "/srv/l.blq",
             "/srv/e.erp",
             250,
             90};
  e.console = {ListenAddress{"192.168.1.5", 443}, "/etc/d.pem", "/etc/d.key"};
  e.health = {std::nullopt};
  e.log = {LogLevel::kDebug, LogFormat::kJson};
  EXPECT_EQ(c, e);
}

TEST(StationConfig, EveryLimitItselfIsAllowed) {
  for (const char* line : {"archive.commit_s = 1",
                           "archive.commit_s = 10",
                           "archive.compression = 1",
                           "rovers.most = 100000",
                           "receiver.silence_s = 1",
                           "receiver.pass_through = 'pty'",
                           "receiver.pass_through = 'tcp:65535'",
                           "receiver.profile = 'nmea-text'",
                           "receiver.nav_sources = []"}) {
    config_of(with_needed(line));
  }
  config_of(
      "station.name = 'A1B200XXX'\n[[mountpoint]]\nname = '0_-.'\n"
      "latitude_deg = -90\nlongitude_deg = 180.0");
}

TEST(StationConfig, EverySourceIsHandedOut) {
  std::string seen;
  const SourceCheck check = [&](std::string_view text) {
    seen += std::string(text) + " ";
    return ok();
  };
  const auto config = parse_station_config(
      with_needed("receiver.source = 'ntrips://a/B'\n"
                  "receiver.nav_sources = ['-', '/a/b', 'file:c']"),
      "s.toml",
      check);
  ASSERT_TRUE(config) << config.error().text();
  EXPECT_EQ(seen, "ntrips://a/B - file:c ");
}

TEST(IsSource, TellsSourcesFromFiles) {
  for (const char* text :
       {"-", "serial:/dev/ttyS0", "ntrip://h/M", "file:x", "ntip://h/M"}) {
    EXPECT_TRUE(is_source(text)) << text;
  }
  for (const char* text : {"", "/a/b", "/a:b", "a/b:c", "a"}) {
    EXPECT_FALSE(is_source(text)) << text;
  }
}

TEST(Console, IsPlainOnPrivateAddressesWithoutACertificateOnly) {
  ConsoleSection console;
  EXPECT_FALSE(console_uses_tls(console));
  console.listen = ListenAddress{"192.168.1.5", 8080};
  EXPECT_FALSE(console_uses_tls(console));
  console.certificate = "/c.pem";
  EXPECT_TRUE(console_uses_tls(console));
  console = {ListenAddress{"0.0.0.0", 8080}, "", ""};
  EXPECT_TRUE(console_uses_tls(console));
  console.listen.reset();
  EXPECT_FALSE(console_uses_tls(console));
}

}  // namespace
}  // namespace stillpoint::config
