// Everything a demo has found out, for its story and its document.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "stillpoint/app/demo_rover.h"
#include "stillpoint/app/demo_status.h"
#include "stillpoint/geo/coords.h"
#include "stillpoint/simulate/scenario/scenario.h"

namespace stillpoint::app {

// What the demo plays: the scenario, its first receiver, and how much of it.
struct DemoWorld {
  simulate::Scenario scenario;
  GnssTime end;

  [[nodiscard]] const simulate::ReceiverScenario& receiver() const {
    return scenario.receivers.front();
  }
  [[nodiscard]] GnssTime at(double since_start_s) const {
    return scenario.start + Duration{since_start_s};
  }
};

// By the receiver's own count.
struct PlayedFacts {
  std::uint64_t epochs = 0, bytes = 0, commands = 0;
};

struct DemoFile {
  std::string path, kind;  // "observations", "navigation"
  std::string start;       // of its day
};

struct DemoPosition {
  std::string status;  // of locate: "converged"
  std::string observations;
  std::vector<std::string> navigation;
  Ecef found;
  Enu error_m, sigma_m;

  // All of it within four sigma.
  [[nodiscard]] bool is_true() const;
};

// The coordinate that the station found by itself and the demo adopted.
struct DemoAdopted {
  std::int64_t record = 0;
  std::string method;  // of locate: "ppp-fixed"
  Ecef found, arp;     // marker, antenna reference point
  Enu error_m, sigma_m;
  // Since the demo began.
  std::optional<double> adopted_after_s, trusted_after_s;

  // Each component within so many sigma.
  [[nodiscard]] bool is_within(double sigmas) const;
};

enum class DemoEventKind : std::uint8_t {
  kGap,
  kJammer,
  kScintillation,
  kMove,
};

struct DemoEvent {
  DemoEventKind kind = DemoEventKind::kGap;
  GnssTime from, to;
  bool seen = false;  // in the station's records
  // What these say: "epochs_missed" and the like; nothing where there are none.
  std::vector<std::pair<std::string, std::optional<double>>> numbers;

  [[nodiscard]] std::optional<double> number(const std::string& name) const;
};

struct DemoReport {
  bool interrupted = false;
  double wall_s = 0;
  std::optional<PlayedFacts> played;
  std::optional<StationView> station;  // the last look at it
  std::vector<RoverFacts> rovers;
  std::optional<std::uint64_t> epochs_in_minutes;  // of station.db
  std::vector<DemoFile> files;
  std::optional<DemoPosition> position;
  std::optional<DemoAdopted> adopted;
  std::vector<DemoEvent> events;
  // What is not as it should be, a sentence each; empty: all is well.
  std::vector<std::string> problems;
};

// Whether the bytes that were sent, recorded and served are the same, no rover
// was cut, and the position is true: fills `problems`.
void judge_demo(DemoReport& report);

}  // namespace stillpoint::app
