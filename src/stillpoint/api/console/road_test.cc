#include "stillpoint/api/console/road.h"

#include <gtest/gtest.h>

#include <algorithm>

namespace stillpoint::api {
namespace {

// A station that has come so far: its first `done` steps.
RoadFacts facts_after(int done) {
  RoadFacts f;
  f.bytes = done > 0 ? 1000 : 0;
  f.satellites = done > 0 ? 20 : 0;
  f.ephemerides = done > 1 ? 18 : 0;
  f.has_position = done > 2;
  f.position_sigma_m = done > 2 ? std::optional(0.8) : std::nullopt;
  f.recording = done > 3;
  f.recorded_hours = done > 3 ? 2.5 : 0;
  f.best_sigma_m = done > 4   ? std::optional(0.006)
                   : done > 3 ? std::optional(0.7)
                              : std::nullopt;
  f.adopted = done > 5;
  f.state = done > 6 ? trust::State::kTrusted : trust::State::kBuilding;
  f.rovers_ever = done > 7;
  f.products = true;
  return f;
}

int count(const std::array<RoadStep, 8>& road, StepState state) {
  return static_cast<int>(
      std::count_if(road.begin(), road.end(), [&](const RoadStep& step) {
        return step.state == state;
      }));
}

TEST(Road, OneStepAtMostIsInWorkTheFirstThatIsNotDone) {
  for (int done = 0; done <= 8; ++done) {
    const auto road = road_of(facts_after(done));
    EXPECT_EQ(count(road, StepState::kDone), done);
    EXPECT_EQ(count(road, StepState::kWorking), done < 8 ? 1 : 0);
    if (done < 8) {
      EXPECT_EQ(road.at(static_cast<std::size_t>(done)).state,
                StepState::kWorking)
          << done;
    }
    for (const RoadStep& step : road) {
      EXPECT_TRUE(step.what.ends_with('.')) << step.what;
    }
  }
}

TEST(Road, AStepThatIsStoppedHoldsUpWhatFollows) {
  RoadFacts f = facts_after(3);
  f.cannot_record = true;
  const auto road = road_of(f);
  EXPECT_EQ(road[3].state, StepState::kStopped);
  EXPECT_EQ(count(road, StepState::kWorking), 0);
  RoadFacts doubtful = facts_after(6);
  doubtful.state = trust::State::kDoubtful;
  EXPECT_EQ(road_of(doubtful)[6].state, StepState::kStopped);
}

TEST(Road, TheTimeThatIsLeftShrinksWithTheHours) {
  RoadFacts f = facts_after(4);
  f.recorded_hours = 6;
  EXPECT_EQ(road_of(f)[4].remaining_s, 18 * 3600.0);
  f.recorded_hours = 30;
  EXPECT_EQ(road_of(f)[4].remaining_s, 0.0);
  f.products = false;
  EXPECT_NE(road_of(f)[4].what.find("[solve]"), std::string::npos);
}

}  // namespace
}  // namespace stillpoint::api
