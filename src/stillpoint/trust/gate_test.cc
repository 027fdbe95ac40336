#include <gtest/gtest.h>

#include <string>

#include "stillpoint/trust/trust.h"

namespace stillpoint::trust {
namespace {

// The table of what rovers get, all of it: no column follows from another.
TEST(Gate, IsAsTheDesignSays) {
  struct Row {
    State state;
    bool provisional, withhold_all;
    Gate gate;
  };
  const Gate observations{.observations = true};
  const Gate provisional{.observations = true,
                         .position = true,
                         .notice = true,
                         .provisional = true};
  const Gate everything{.observations = true, .position = true};
  const Gate with_notice{
      .observations = true, .position = true, .notice = true};
  const Gate no_position{.observations = true, .notice = true};
  const Gate notice_alone{.observations = false, .notice = true};
  for (const Row& row : {
           Row{State::kBuilding, false, false, observations},
           Row{State::kBuilding, false, true, observations},
           Row{State::kBuilding, true, false, provisional},
           Row{State::kBuilding, true, true, provisional},
           Row{State::kTrusted, false, false, everything},
           Row{State::kTrusted, false, true, everything},
           Row{State::kTrusted, true, false, everything},
           Row{State::kTrusted, true, true, everything},
           Row{State::kDoubtful, false, false, with_notice},
           Row{State::kDoubtful, false, true, with_notice},
           Row{State::kDoubtful, true, false, with_notice},
           Row{State::kDoubtful, true, true, with_notice},
           Row{State::kWithheld, false, false, no_position},
           Row{State::kWithheld, false, true, notice_alone},
           Row{State::kWithheld, true, false, no_position},
           Row{State::kWithheld, true, true, notice_alone},
       }) {
    EXPECT_EQ(gate(row.state, row.provisional, row.withhold_all), row.gate)
        << state_name(row.state) << ' ' << row.provisional << ' '
        << row.withhold_all;
  }
}

TEST(Gate, AGraverStateNeverGivesMore) {
  const auto given = [](const Gate& g) { return g.observations + g.position; };
  for (const State a : {State::kTrusted,
                        State::kDoubtful,
                        State::kBuilding,
                        State::kWithheld}) {
    for (const State b : {State::kTrusted,
                          State::kDoubtful,
                          State::kBuilding,
                          State::kWithheld}) {
      for (const int settings : {0, 1, 2, 3}) {
        const bool provisional = (settings & 1) != 0, all = settings > 1;
        if (gravity(a) < gravity(b)) {
          EXPECT_GE(given(gate(a, provisional, all)),
                    given(gate(b, provisional, all)));
        }
      }
    }
  }
}

TEST(Names, AreTheWordsOfTheDesign) {
  EXPECT_EQ(std::string(state_name(State::kBuilding)), "building");
  EXPECT_EQ(std::string(state_name(State::kTrusted)), "trusted");
  EXPECT_EQ(std::string(state_name(State::kDoubtful)), "doubtful");
  EXPECT_EQ(std::string(state_name(State::kWithheld)), "withheld");
  EXPECT_EQ(std::string(part_name(Part::kCoordinate)), "coordinate");
  EXPECT_EQ(std::string(part_name(Part::kSource)), "source");
  EXPECT_EQ(std::string(part_name(Part::kSky)), "sky");
  EXPECT_EQ(std::string(part_name(Part::kDisk)), "disk");
  EXPECT_EQ(std::string(part_name(Part::kClock)), "clock");
}

}  // namespace
}  // namespace stillpoint::trust
