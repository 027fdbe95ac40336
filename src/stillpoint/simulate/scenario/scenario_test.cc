#include "stillpoint/simulate/scenario/scenario.h"

#include <gtest/gtest.h>

#include <cmath>

namespace stillpoint::simulate {
namespace {

constexpr std::string_view kLeast = R"(
name = "least"
start = 2026-06-02T00:00:00
hours = 1
[[receiver]]
name = "LHOL00XXX"
latitude_deg = 47.3
longitude_deg = 8.9
height_m = 512
)";

TEST(Scenario, ShippedOnesAreRead) {
  ASSERT_FALSE(shipped_scenario_names().empty());
  for (const std::string_view name : shipped_scenario_names()) {
    const auto s = parse_scenario(*find_shipped_scenario(name), name);
    ASSERT_TRUE(s) << s.error().what;
    EXPECT_EQ(s->name, name);
  }
  EXPECT_FALSE(find_shipped_scenario("no such"));
}

// kind: cross   source: shared design, section 9: the ladder moves it by 18 mm
// tolerance: 0.05 mm, the tenths of the table
TEST(Scenario, LadderKnocksTheAntennaByEighteenMillimetres) {
  const auto s =
      parse_scenario(*find_shipped_scenario("larch-hollow"), "larch-hollow");
  ASSERT_TRUE(s) << s.error().what;
  ASSERT_EQ(s->receivers.front().moves.size(), 1U);
  const AntennaMove& move = s->receivers.front().moves.front();
  const Enu& d = move.offset_m;
  EXPECT_NEAR(std::hypot(d.e_m, d.n_m, d.u_m), 0.018, 5e-5);
  EXPECT_GT(move.at_s, 86'400);
  EXPECT_LT(move.at_s, 1.5 * 86'400);
}

TEST(Scenario, LeastOneHasEveryEffectAndTheUsualSignals) {
  const auto s = parse_scenario(kLeast, "least");
  ASSERT_TRUE(s) << s.error().what;
  EXPECT_EQ(s->effects, EffectSet::all());
  EXPECT_EQ(s->receivers.front()
                .signals[static_cast<std::size_t>(System::kGps)]
                .size(),
            3U);
}

TEST(Scenario, OnlyAndWithoutChooseEffects) {
  const auto s = parse_scenario(
      "only = [\"noise\", \"multipath\"]\nwithout = [\"noise\"]\n" +
          std::string(kLeast),
      "x");
  ASSERT_TRUE(s) << s.error().what;
  EXPECT_TRUE(s->effects.has(Effect::kMultipath));
  EXPECT_FALSE(s->effects.has(Effect::kNoise));
  EXPECT_FALSE(s->effects.has(Effect::kTroposphere));
}

TEST(Scenario, EveryEffectHasANameThatIsFound) {
  int count = 0;
  for (const EffectName& row : effect_names()) {
    EXPECT_EQ(find_effect(row.name), row.effect);
    EXPECT_EQ(name_of(row.effect), row.name);
    ++count;
  }
  EXPECT_EQ(count, kEffectCount);
  EXPECT_FALSE(find_effect("weather"));
}

TEST(Scenario, ReflectorWithoutAPhaseTakesTheSeeds) {
  const std::string reflector =
      "[[receiver.reflector]]\nname = \"roof\"\ndistance_m = 1\n"
      "coefficient = 0.2\n";
  const auto s = parse_scenario(
      std::string(kLeast) + reflector + reflector + "phase_deg = 180\n", "x");
  ASSERT_TRUE(s) << s.error().what;
  const auto& reflectors = s->receivers.front().reflectors;
  ASSERT_EQ(reflectors.size(), 2U);
  EXPECT_TRUE(reflectors[0].phase_by_seed);
  EXPECT_FALSE(reflectors[1].phase_by_seed);
}

// kind: cross   source: geo's own difference of the two places
// tolerance: 1 mm: up is between the heights, which tips the plane's metres by
// some micrometres here
TEST(Scenario, PlaceMayBeGivenFromAReceiverAbove) {
  const auto s = parse_scenario(
      std::string(kLeast) +
          "[[receiver]]\nname = \"SCND00XXX\"\nfrom = \"LHOL00XXX\"\n"
          "east_m = 80\nnorth_m = -60\nup_m = 1.5\nclock = \"millisecond\"\n"
          "clock_offset_ms = 22\nclock_drift_ppm = -2\n",
      "x");
  ASSERT_TRUE(s) << s.error().what;
  const ReceiverScenario& second = s->receivers.at(1);
  const Enu d =
      to_enu(to_ecef(second.marker), to_ecef(s->receivers.front().marker));
  EXPECT_NEAR(d.e_m, 80, 1e-3);
  EXPECT_NEAR(d.n_m, -60, 1e-3);
  EXPECT_NEAR(second.marker.height_m, 513.5, 1e-9);
  EXPECT_DOUBLE_EQ(second.clock_offset_s, 0.022);
  EXPECT_DOUBLE_EQ(second.clock_drift.value_or(0), -2e-6);
}

TEST(Scenario, PlaceIsGivenOnceAndWhole) {
  const std::string head = "[[receiver]]\nname = \"SCND00XXX\"\n";
  for (const auto& [more, word] :
       {std::pair("from = \"NONE00XXX\"\n", "above this one"),
        std::pair("from = \"SCND00XXX\"\n", "above this one"),
        std::pair("from = \"LHOL00XXX\"\nheight_m = 3\n", "beside an offset"),
        std::pair("latitude_deg = 47\nheight_m = 3\n", "longitude_deg")}) {
    const auto s = parse_scenario(std::string(kLeast) + head + more, "x");
    ASSERT_FALSE(s) << more;
    EXPECT_NE(s.error().text().find(word), std::string::npos)
        << s.error().text();
  }
}

TEST(Scenario, MistakesAreAllToldWithTheirPlaces) {
  const auto s = parse_scenario(
      "name = \"x\"\nstart = 2026-02-28T00:00:00\nhours = -1\nonly = "
      "[\"moon\"]\n[[receiver]]\nname = \"A\"\nlatitude_deg = 100\n"
      "longitude_deg = 1\nheight_m = 1\nclock = \"sundial\"\ncolour = 3\n",
      "x.toml");
  ASSERT_FALSE(s);
  for (const char* part :
       {"x.toml:3", "moon", "x.toml:7", "sundial", "x.toml:11", "colour"}) {
    EXPECT_NE(s.error().text().find(part), std::string::npos)
        << part << " in " << s.error().text();
  }
}

TEST(Scenario, MovesAndWaysGoForward) {
  const auto s = parse_scenario(
      std::string(kLeast) +
          "[[receiver.move]]\nat = 20\n[[receiver.move]]\nat = 10\n",
      "x");
  ASSERT_FALSE(s);
  EXPECT_NE(s.error().text().find("ascend"), std::string::npos);
}

TEST(Scenario, AnythingElseIsNoScenario) {
  EXPECT_FALSE(parse_scenario("", "x"));
  EXPECT_FALSE(parse_scenario("[[receiver]]", "x"));
  EXPECT_FALSE(parse_scenario(std::string(300'000, '#'), "x"));
}

}  // namespace
}  // namespace stillpoint::simulate
