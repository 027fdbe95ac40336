// Real navigation files: how much is in them, and whether the messages of one
// satellite agree.
#include <gtest/gtest.h>

#include <cmath>
#include <map>

#include "stillpoint/gnss/broadcast.h"
#include "stillpoint/rinex/navigation_reader.h"
#include "tests/support/test_data.h"

namespace stillpoint::rinex {
namespace {

NavigationFile read(const std::string& path) {
  auto stream = open_unpacked(path);
  EXPECT_TRUE(stream);
  auto file = read_navigation(std::move(*stream));
  EXPECT_TRUE(file) << file.error().text();
  return file ? std::move(*file) : NavigationFile{};
}

std::string kind_of(SatId sat, NavMessage message) {
  return std::string(1, system_letter(sat.system)) + " " +
         message_name(message);
}

using Counts = std::map<std::string, int>;

Counts count(const NavigationFile& file) {
  Counts counts;
  for (const KeplerEphemeris& e : file.data.kepler) {
    ++counts[kind_of(e.sat, e.message)];
  }
  for (const StateEphemeris& e : file.data.state) {
    ++counts[kind_of(e.sat, e.message)];
  }
  return counts;
}

// kind: regression
// source: the files themselves; the numbers of record heads in them, counted
// by a line search, are the same (ESBC: 357 C, 1602 E, 257 G, 15 J, 510 R,
// 2130 S)
TEST(NavigationFiles, MixedVersion3Day) {
  const std::string path = STILLPOINT_DATA_OR_SKIP(
      "esbc-2020-177/ESBC00DNK_R_20201770000_01D_MN.rnx.gz");
  const NavigationFile file = read(path);
  EXPECT_EQ(file.problem_count, 0U);
  EXPECT_EQ(file.data.leap_seconds, 18);
  EXPECT_EQ(count(file),
            (Counts{{"C D1", 331},
                    {"C D2", 26},
                    {"E FNAV", 781},
                    {"E INAV", 821},
                    {"G LNAV", 257},
                    {"J LNAV", 15},
                    {"R FDMA", 510},
                    {"S SBAS", 2130}}));
  EXPECT_TRUE(file.data.ionosphere.gps);
  EXPECT_TRUE(file.data.ionosphere.galileo);
}

// kind: regression
// source: as above; the heads "> EPH" counted by a line search agree
TEST(NavigationFiles, MixedVersion4Day) {
  const std::string path =
      STILLPOINT_DATA_OR_SKIP("days/BRD400DLR_S_20230710000_01D_MN.rnx.gz");
  const NavigationFile file = read(path);
  EXPECT_EQ(file.version, 4.0);
  EXPECT_EQ(file.problem_count, 0U);
  EXPECT_EQ(file.skipped, 170U);  // 126 STO, 32 EOP, 12 BDGIM
  EXPECT_EQ(count(file),
            (Counts{{"C CNV1", 634},
                    {"C CNV2", 926},
                    {"C D1", 893},
                    {"C D2", 168},
                    {"E FNAV", 2897},
                    {"E INAV", 2943},
                    {"G CNAV", 334},
                    {"G LNAV", 428},
                    {"I LNAV", 283},
                    {"J CNAV", 98},
                    {"J CNV2", 98},
                    {"J LNAV", 96},
                    {"R FDMA", 1240},
                    {"S SBAS", 9072}}));
  const IonosphereParameters& i = file.data.ionosphere;
  EXPECT_TRUE(i.gps && i.beidou && i.qzss && i.navic && i.galileo);
}

// kind: regression
// source: as above
TEST(NavigationFiles, SingleSystemDays) {
  struct Row {
    const char* path;
    double version;
    Counts counts;
  };
  const Row rows[] = {
      {"days/brdc0200.05n.gz", 2.0, {{"G LNAV", 404}}},
      {"days/GRAS00FRA_R_20242090000_01D_EN.rnx.gz",
       3.04,
       {{"E FNAV", 615}, {"E INAV", 1762}}},
      {"days/NYA100NOR_S_20241270000_01D_EN.rnx.gz", 3.03, {{"E INAV", 720}}},
      {"days/NYA100NOR_S_20241270000_01D_GN.rnx.gz", 3.05, {{"G LNAV", 217}}},
  };
  for (const Row& row : rows) {
    const std::string path = STILLPOINT_DATA_OR_SKIP(row.path);
    const NavigationFile file = read(path);
    EXPECT_EQ(file.problem_count, 0U) << row.path;
    EXPECT_EQ(file.version, row.version) << row.path;
    EXPECT_EQ(count(file), row.counts) << row.path;
  }
}

struct Spread {
  int pairs = 0;
  double position_m2 = 0, clock_m2 = 0;
};

// Positions and clocks half way between the reference times of two messages
// of one satellite, at most an hour apart.
std::map<std::string, Spread> compare_messages(const NavigationData& data) {
  std::map<SatId, std::vector<const KeplerEphemeris*>> by_satellite;
  for (const KeplerEphemeris& e : data.kepler) {
    if (is_healthy(e)) {
      by_satellite[e.sat].push_back(&e);
    }
  }
  std::map<std::string, Spread> spreads;
  for (const auto& [sat, sets] : by_satellite) {
    for (const KeplerEphemeris* a : sets) {
      for (const KeplerEphemeris* b : sets) {
        const double apart = (b->toe - a->toe).s;
        if (a->message >= b->message || std::abs(apart) > 3600) {
          continue;
        }
        const GnssTime t = a->toe + Duration{apart / 2};
        const SatelliteState p = evaluate(*a, t);
        const SatelliteState q = evaluate(*b, t);
        Spread& s =
            spreads[kind_of(sat, a->message) + " " + message_name(b->message)];
        ++s.pairs;
        s.position_m2 += std::pow(norm(p.position_m - q.position_m), 2);
        s.clock_m2 += std::pow(kSpeedOfLightMps * (p.clock_s - q.clock_s), 2);
      }
    }
  }
  return spreads;
}

// kind: cross
// source: two messages of one satellite describe the same orbit and clock;
// a field read from the wrong place shows as kilometres
// tolerance: root mean squares found are 0.07 m (CNV1, CNV2), 0.09 m (D1 and
// B-CNAV), 0.29 m (QZSS), 0.33 m (Galileo), 0.58 m (GPS LNAV and CNAV); clocks
// 0.14 to 0.33 m. Twice that is allowed.
TEST(NavigationFiles, MessagesOfOneSatelliteAgree) {
  const std::string path =
      STILLPOINT_DATA_OR_SKIP("days/BRD400DLR_S_20230710000_01D_MN.rnx.gz");
  auto spreads = compare_messages(read(path).data);
  const std::map<std::string, double> allowed_m{{"C CNV1 CNV2", 0.15},
                                                {"C D1 CNV1", 0.2},
                                                {"C D1 CNV2", 0.2},
                                                {"E INAV FNAV", 0.7},
                                                {"G LNAV CNAV", 1.2},
                                                {"J LNAV CNAV", 0.6},
                                                {"J LNAV CNV2", 0.6},
                                                {"J CNAV CNV2", 0.6}};
  EXPECT_EQ(spreads.size(), allowed_m.size());
  for (const auto& [kind, limit_m] : allowed_m) {
    const Spread& s = spreads[kind];
    EXPECT_GT(s.pairs, 250) << kind;
    EXPECT_LT(std::sqrt(s.position_m2 / s.pairs), limit_m) << kind;
    EXPECT_LT(std::sqrt(s.clock_m2 / s.pairs), 0.7) << kind;
  }
}

}  // namespace
}  // namespace stillpoint::rinex
