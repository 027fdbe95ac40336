#include "stillpoint/api/console/road.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace stillpoint::api {
namespace {

constexpr double kHourS = 3600;
constexpr double kDayHours = 24;
// A coordinate by code ranges is not what a station is built for.
constexpr double kCertainM = 0.05;
constexpr int kEnoughEphemerides = 5;

std::string length(double m) {
  return m < 0.1 ? fmt::format("{:.0f} mm", 1000 * m)
                 : fmt::format("{:.1f} m", m);
}

struct Step {
  bool done = false, stopped = false;
  std::string what;
  std::optional<double> remaining_s;
};

Step signal(const RoadFacts& f) {
  if (f.satellites > 0) {
    return {true,
            false,
            fmt::format("{} satellites are received.", f.satellites),
            {}};
  }
  return {false,
          false,
          f.bytes == 0 ? "Waiting for the receiver's first byte."
                       : "Bytes come, but no observations in them yet.",
          {}};
}

Step ephemerides(const RoadFacts& f) {
  constexpr double kFramesS = 30;  // of the slowest message of most satellites
  return {f.ephemerides >= kEnoughEphemerides,
          false,
          fmt::format("{} satellites have said where they are.", f.ephemerides),
          kFramesS};
}

Step position(const RoadFacts& f) {
  constexpr double kFirstFixS = 30;
  if (!f.has_position) {
    return {false, false, "A first position is being worked out.", kFirstFixS};
  }
  return {true,
          false,
          f.position_sigma_m ? fmt::format("By code ranges, good to {}.",
                                           length(*f.position_sigma_m))
                             : std::string("By code ranges."),
          {}};
}

Step record(const RoadFacts& f) {
  if (f.cannot_record) {
    return {false, true, "The disk does not take the data.", {}};
  }
  return {f.recording,
          false,
          f.recording
              ? fmt::format("{:.1f} hours are recorded.", f.recorded_hours)
              : std::string("Waiting for the first bytes on the disk."),
          {}};
}

Step certainty(const RoadFacts& f) {
  const double left_s = std::max(0.0, (kDayHours - f.recorded_hours) * kHourS);
  if (f.best_sigma_m && *f.best_sigma_m <= kCertainM) {
    return {true,
            false,
            fmt::format("The best candidate is good to {}.",
                        length(*f.best_sigma_m)),
            {}};
  }
  std::string what =
      f.best_sigma_m
          ? fmt::format("The best candidate is good to {} so far.",
                        length(*f.best_sigma_m))
          : std::string("The first candidate comes with the first hour.");
  what += f.products ? " A day of data brings millimetres to centimetres."
                     : " Without precise orbits and clocks it stays at "
                       "decimetres: see [solve] in the settings.";
  return {false, false, std::move(what), left_s};
}

Step adopted(const RoadFacts& f) {
  return {f.adopted,
          false,
          f.adopted ? "A coordinate is adopted."
                    : "An owner adopts a candidate, with a reason.",
          {}};
}

Step trusted(const RoadFacts& f) {
  const bool good = f.state == trust::State::kTrusted;
  // Building with a coordinate: it has not been judged yet.
  const bool bad = f.adopted && (f.state == trust::State::kDoubtful ||
                                 f.state == trust::State::kWithheld);
  return {good,
          bad,
          good  ? "The station trusts itself."
          : bad ? "Something speaks against it: the reasons stand above."
                : "It follows from the adopted coordinate.",
          {}};
}

Step rovers(const RoadFacts& f) {
  return {f.rovers_ever,
          false,
          f.rovers > 0    ? fmt::format("{} connected.", f.rovers)
          : f.rovers_ever ? std::string("None at present.")
                          : std::string("None has come yet."),
          {}};
}

}  // namespace

const char* step_state_name(StepState state) {
  constexpr std::array kNames{"done", "working", "waiting", "stopped"};
  return kNames.at(static_cast<std::size_t>(state));
}

std::array<RoadStep, 8> road_of(const RoadFacts& facts) {
  constexpr std::array kNames{"signal",
                              "ephemerides",
                              "position",
                              "record",
                              "certainty",
                              "adopted",
                              "trusted",
                              "rovers"};
  const std::array<Step, 8> steps{signal(facts),
                                  ephemerides(facts),
                                  position(facts),
                                  record(facts),
                                  certainty(facts),
                                  adopted(facts),
                                  trusted(facts),
                                  rovers(facts)};
  std::array<RoadStep, 8> road;
  bool working = false;
  for (std::size_t i = 0; i < steps.size(); ++i) {
    const Step& step = steps.at(i);
    RoadStep& out = road.at(i);
    out.step = kNames.at(i);
    out.what = step.what;
    if (step.done) {
      out.state = StepState::kDone;
      out.since = facts.done_at.at(i);
    } else if (step.stopped) {
      out.state = StepState::kStopped;
      working = true;  // what follows waits for it
    } else if (!working) {
      out.state = StepState::kWorking;
      out.remaining_s = step.remaining_s;
      working = true;
    }
  }
  return road;
}

}  // namespace stillpoint::api
