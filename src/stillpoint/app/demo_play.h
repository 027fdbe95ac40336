// The first part of the demo: the station runs, its receiver plays, rovers
// listen.
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <vector>

#include "stillpoint/app/demo_args.h"
#include "stillpoint/app/demo_report.h"
#include "stillpoint/app/demo_rover.h"
#include "stillpoint/app/demo_settings.h"
#include "stillpoint/app/demo_stage.h"
#include "stillpoint/app/demo_status.h"

namespace stillpoint::app {

// How it goes, a few times a second.
struct DemoMoment {
  double share = 0;  // of the time that is simulated, 0 .. 1
  GnssTime simulated;
  StationView station;
};

class DemoPlay {
 public:
  // All outlive it.
  DemoPlay(const DemoWorld& world, const DemoPorts& ports, DemoStage& stage);

  // The station with its rovers, from its start until it waits for the
  // receiver.
  //
  //   errors   kIo, as from the verbs that were started
  Status open();
  // The receiver, from its first byte to its last of a part of the world, and
  // until all of it has been recorded and served, or has had the time to be.
  //
  //   speed   of the part
  //   enough  ends it before; may be empty
  Status play(GnssTime from,
              GnssTime end,
              double speed,
              const std::function<void(const DemoMoment&)>& show,
              const std::function<bool()>& enough = {});
  // One more rover, from now on.
  Status add_rover(const char* name);
  // What the station says of itself: "building", …; empty before it does.
  [[nodiscard]] std::string trust();
  // The station has to be there.
  Status check();
  // Lets the rovers go and ends the station.
  Status close();

  // Into the report; at any time.
  void tell(DemoReport& report) const;

 private:
  Status begin_receiver(GnssTime from, GnssTime end, double speed);
  Status settle();
  bool receiver_ended();
  [[nodiscard]] std::optional<GnssTime> simulated() const;
  [[nodiscard]] bool all_is_there() const;

  const DemoWorld& world_;
  const DemoPorts ports_;
  DemoStage& stage_;
  // The receiver ends before the station.
  std::optional<DemoChild> station_, receiver_;
  std::optional<int> receiver_code_;
  StatusPage page_;
  std::vector<std::unique_ptr<DemoRover>> rovers_;
  std::optional<PlayedFacts> played_;
};

}  // namespace stillpoint::app
