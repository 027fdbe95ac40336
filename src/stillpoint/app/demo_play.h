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
  DemoPlay(const DemoArgs& args,
           const DemoWorld& world,
           const DemoPorts& ports,
           DemoStage& stage);

  // The station with its rovers, from its start until it waits for the
  // receiver.
  //
  //   errors   kIo, as from the verbs that were started
  Status open();
  // The receiver, from its first byte until all that it sent has been
  // recorded and served, or has had the time to be.
  Status play(const std::function<void(const DemoMoment&)>& show);
  // Lets the rovers go and ends the station.
  Status close();

  // Into the report; at any time.
  void tell(DemoReport& report) const;

 private:
  Status add_rover(const char* name);
  Status begin_receiver();
  Status settle();
  // The station has to be there.
  Status check();
  bool receiver_ended();
  [[nodiscard]] std::optional<GnssTime> simulated() const;
  [[nodiscard]] bool all_is_there() const;

  const DemoArgs& args_;
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
