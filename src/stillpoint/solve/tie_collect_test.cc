#include "stillpoint/solve/tie_collect.h"

#include <gtest/gtest.h>

#include "stillpoint/solve/tie_scene_for_tests.h"

namespace stillpoint::solve {
namespace {

using test::tie_epoch;
using test::tie_options;
using test::TieOrbits;
using test::TieScene;

struct Collected {
  TieSession session;
  Counts counts;
};

Collected collect(const Epoch& here,
                  const Epoch& there,
                  const TieOptions& options) {
  Collected c;
  collect_tie(here, there, TieOrbits(), options, c.session, c.counts);
  return c;
}

int excluded(const Collected& c, SatId sat, Exclusion reason) {
  const auto found = c.counts.excluded.find(sat);
  return found == c.counts.excluded.end()
             ? 0
             : found->second[static_cast<std::size_t>(reason)];
}

TieScene with_glonass() {
  TieScene scene;
  test::add_glonass(scene);
  return scene;
}

// Place in `satellites` of the first of a system.
std::size_t first_of(const Epoch& epoch, System system) {
  std::size_t i = 0;
  while (epoch.satellites[i].sat.system != system) {
    ++i;
  }
  return i;
}

const TieSight* sight_of_satellite(const TieSession& session, SatId sat) {
  for (const TieSight& s : session.sights) {
    if (s.sat == sat) {
      return &s;
    }
  }
  return nullptr;
}

// kind: cross   phases in metres by the carrier's definition, RINEX 4.02.
// tolerance: exact, the same product
TEST(TieCollect, ARowForEveryBandOfEverySatelliteInCommon) {
  const TieScene scene = with_glonass();
  const Epoch here = tie_epoch(scene, 0, true);
  Epoch there = tie_epoch(scene, 0, false);
  const SatId gone = there.satellites.back().sat;
  there.satellites.pop_back();
  const Collected c = collect(here, there, tie_options(scene));
  ASSERT_EQ(c.session.epochs.size(), 1U);
  EXPECT_EQ(c.session.sights.size(), there.satellites.size());
  EXPECT_EQ(c.session.epochs[0].count, there.satellites.size());
  EXPECT_EQ(c.session.rows.size(), 2 * there.satellites.size());
  EXPECT_EQ(c.session.groups.size(), 4U);
  EXPECT_EQ(sight_of_satellite(c.session, gone), nullptr);
  EXPECT_TRUE(c.counts.excluded.empty());
  EXPECT_EQ(c.counts.epochs_seen, 1);
  // The clocks' readings: 0.3 ms and -0.2 ms.
  EXPECT_NEAR(c.session.epochs[0].tag_difference.s, -5e-4, 2e-9);
  const TieRow& r = c.session.rows[1];
  EXPECT_DOUBLE_EQ(r.wavelength_m, kSpeedOfLightMps / 1227.60e6);
  EXPECT_DOUBLE_EQ(r.phase_here_m,
                   here.observations[1].phase_cyc * r.wavelength_m);
  EXPECT_DOUBLE_EQ(r.phase_there_m,
                   there.observations[1].phase_cyc * r.wavelength_m);
  EXPECT_DOUBLE_EQ(r.code_here_m, here.observations[1].code_m);
  EXPECT_DOUBLE_EQ(r.code_there_m, there.observations[1].code_m);
}

// An open half cycle at either end leaves the band out, the other loss-of-lock
// bits do not.
TEST(TieCollect, OpenHalfCyclesAreLeftOut) {
  const TieScene scene;
  const Epoch whole = tie_epoch(scene, 0, true);
  const Epoch other = tie_epoch(scene, 0, false);
  const SatId sat = whole.satellites[0].sat;
  ASSERT_EQ(sat, other.satellites[0].sat);
  for (std::uint8_t lli = 0; lli < 6; ++lli) {
    for (const bool at_here : {true, false}) {
      Epoch here = whole, there = other;
      Epoch& marked = at_here ? here : there;
      marked.observations[marked.satellites[0].first + 1].lli = lli;
      const Collected c = collect(here, there, tie_options(scene));
      const TieSight* s = sight_of_satellite(c.session, sat);
      ASSERT_NE(s, nullptr);
      const bool open = lli == 2 || lli == 3;
      EXPECT_EQ(s->count, open ? 1 : 2) << int{lli};
      if (!open) {
        EXPECT_EQ(c.session.rows_of(*s)[1].lli, lli);
      }
    }
  }
}

// kind: cross   carriers of channels: GLONASS ICD 5.1 (2008), table 3.1 (from
// memory). tolerance: exact
TEST(TieCollect, ChannelsOfGlonassMakeTheWavelength) {
  const TieScene scene = with_glonass();
  TieOptions options = tie_options(scene);
  const Epoch here = tie_epoch(scene, 0, true);
  const Epoch there = tie_epoch(scene, 0, false);
  const SatId sat = here.satellites[first_of(here, System::kGlonass)].sat;
  const int channel = *TieOrbits().glonass_channel(sat);
  const auto wavelength = [&](int of_channel) {
    return kSpeedOfLightMps / (1602e6 + 562.5e3 * of_channel);
  };
  const Collected from_orbits = collect(here, there, options);
  const TieSight* s = sight_of_satellite(from_orbits.session, sat);
  ASSERT_NE(s, nullptr);
  EXPECT_DOUBLE_EQ(from_orbits.session.rows_of(*s)[0].wavelength_m,
                   wavelength(channel));
  // What the file's header says goes before.
  options.glonass_channel[sat.number] = channel + 1;
  const Collected stated = collect(here, there, options);
  s = sight_of_satellite(stated.session, sat);
  ASSERT_NE(s, nullptr);
  EXPECT_DOUBLE_EQ(stated.session.rows_of(*s)[0].wavelength_m,
                   wavelength(channel + 1));
}

// A GLONASS satellite whose channel nobody knows.
TEST(TieCollect, GlonassWithoutAChannelIsNoPair) {
  class Silent final : public OrbitSource {
   public:
    TieOrbits orbits;
    [[nodiscard]] tl::expected<SatelliteState, NoState> state(
        SatId sat, GnssTime t) const override {
      return orbits.state(sat, t);
    }
    [[nodiscard]] std::optional<double> group_delay_s(
        SatId, GnssTime, SignalCode) const override {
      return 0.0;
    }
    [[nodiscard]] std::optional<int> glonass_channel(SatId) const override {
      return std::nullopt;
    }
    [[nodiscard]] std::string frame_label() const override { return "IGS20"; }
  };
  const TieScene scene = with_glonass();
  const Epoch here = tie_epoch(scene, 0, true);
  Collected c;
  collect_tie(here,
              tie_epoch(scene, 0, false),
              Silent(),
              tie_options(scene),
              c.session,
              c.counts);
  const SatId sat = here.satellites[first_of(here, System::kGlonass)].sat;
  EXPECT_EQ(sight_of_satellite(c.session, sat), nullptr);
  EXPECT_EQ(excluded(c, sat, Exclusion::kNoSignalPair), 1);
}

TEST(TieCollect, SaysWhatItLeavesOut) {
  const TieScene scene = with_glonass();
  TieOptions options = tie_options(scene);
  options.systems = SystemSet::all();
  options.systems.remove(System::kGlonass);
  Epoch here = tie_epoch(scene, 0, true), there = tie_epoch(scene, 0, false);
  const SatId off = here.satellites[first_of(here, System::kGlonass)].sat;
  const SatId silent = here.satellites[0].sat, apart = here.satellites[1].sat;
  ASSERT_EQ(there.satellites[1].sat, apart);
  // No codes at one end of one satellite; other signals at those of another.
  for (std::uint32_t i = 0; i < 2; ++i) {
    here.observations[here.satellites[0].first + i].code_m = kMissing;
    there.observations[there.satellites[1].first + i].signal.attribute = 'X';
  }
  const Collected c = collect(here, there, options);
  EXPECT_EQ(excluded(c, off, Exclusion::kSystemOff), 1);
  EXPECT_EQ(excluded(c, silent, Exclusion::kNoSignalPair), 1);
  EXPECT_EQ(excluded(c, apart, Exclusion::kNoSignalPair), 1);
  for (const TieSight& s : c.session.sights) {
    EXPECT_EQ(s.sat.system, System::kGps);
    EXPECT_NE(s.sat, silent);
    EXPECT_NE(s.sat, apart);
  }
  EXPECT_EQ(c.session.rows.size(), 2 * c.session.sights.size());
}

TEST(TieCollect, TheWeakerSignalCounts) {
  const TieScene scene;
  Epoch here = tie_epoch(scene, 0, true), there = tie_epoch(scene, 0, false);
  ASSERT_EQ(here.satellites[0].sat, there.satellites[0].sat);
  here.observations[0].cn0_dbhz = 31;
  here.observations[1].cn0_dbhz = kMissing;
  there.observations[1].cn0_dbhz = 38;
  const Collected c = collect(here, there, tie_options(scene));
  EXPECT_EQ(c.session.rows[0].cn0_dbhz, 31);
  EXPECT_EQ(c.session.rows[1].cn0_dbhz, 38);
}

TEST(TieCollect, ThinKeepsEverySecondEpochWhole) {
  const TieScene scene;
  for (const int epochs : {7, 8}) {
    const TieSession before =
        test::collected(scene, tie_options(scene), epochs);
    TieSession after = before;
    thin(after);
    ASSERT_EQ(after.epochs.size(), 4U);
    EXPECT_EQ(after.groups, before.groups);
    std::size_t rows = 0;
    for (std::size_t k = 0; k < 4; ++k) {
      const TieEpoch &a = after.epochs[k], &b = before.epochs[2 * k];
      EXPECT_EQ(a.time, b.time);
      ASSERT_EQ(a.count, b.count);
      for (std::size_t i = 0; i < a.count; ++i) {
        const TieSight& s = after.sights_of(a)[i];
        const TieSight& t = before.sights_of(b)[i];
        EXPECT_EQ(s.sat, t.sat);
        ASSERT_EQ(s.count, t.count);
        for (std::size_t j = 0; j < s.count; ++j, ++rows) {
          EXPECT_EQ(after.rows_of(s)[j].phase_here_m,
                    before.rows_of(t)[j].phase_here_m);
        }
      }
    }
    EXPECT_EQ(after.rows.size(), rows);
    EXPECT_NEAR(usual_interval_s(after), 2 * usual_interval_s(before), 1e-6);
  }
}

}  // namespace
}  // namespace stillpoint::solve
