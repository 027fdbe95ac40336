// One start of the integer campaign: a world of its own, with two antennas or
// one, products, and the epochs that its receivers measure.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "stillpoint/aids/precise_source.h"
#include "stillpoint/simulate/receiver/receiver.h"
#include "stillpoint/simulate/scenario/scenario.h"
#include "stillpoint/simulate/sky/sky.h"
#include "stillpoint/solve/ppp_options.h"
#include "stillpoint/solve/tie_solver.h"

namespace stillpoint::test {

struct CampaignCell {
  std::string name;     // "tie-10-wild", "ppp"
  double length_m = 0;  // of the tie
  bool disturbed = false;
  bool ppp = false;
  std::vector<int> minutes;  // spans that are solved, ascending
};

// Ties of 1, 5, 10, 20 and 40 km under a quiet and a disturbed ionosphere, and
// one antenna alone.
std::vector<CampaignCell> campaign_cells();

// The scenario of a start: sky, hour of the year, place on the Earth, direction
// of the tie, height between its ends, weather, waves of the ionosphere,
// reflecting surfaces and receivers' clocks are all drawn from the cell's name
// and the number. The ends have receivers and antennas of different makes; the
// second clock is 22 ms off and set by milliseconds.
simulate::Scenario campaign_scenario(const CampaignCell& cell,
                                     std::uint64_t number);

class CampaignWorld {
 public:
  static constexpr double kIntervalS = 30;

  CampaignWorld(const CampaignCell& cell, std::uint64_t number);

  // Pointers in the options lead into this object.
  CampaignWorld(const CampaignWorld&) = delete;
  CampaignWorld& operator=(const CampaignWorld&) = delete;

  // Observes as far as so many epochs, what was not observed yet.
  void observe(std::size_t epochs);

  // Of the receiver that is looked for, and of the one that is known (empty
  // without a tie); epochs of the same number have the same tag.
  std::vector<Epoch> here, there;
  Ecef here_m;  // marker, the truth
  PreciseSource source;
  solve::TieOptions tie;
  solve::PppOptions ppp;

 private:
  void make_products();
  void describe(const simulate::Scenario& scenario);
  simulate::Sky sky_;
  std::vector<simulate::SimulatedReceiver> receivers_;
  AntennaPatterns patterns_;
};

}  // namespace stillpoint::test
