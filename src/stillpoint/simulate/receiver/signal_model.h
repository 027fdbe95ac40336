// One signal of one satellite as a simulated receiver measures it.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "stillpoint/gnss/epoch.h"
#include "stillpoint/simulate/nature/antenna.h"
#include "stillpoint/simulate/receiver/receiver_clock.h"
#include "stillpoint/simulate/receiver/satellite_view.h"
#include "stillpoint/simulate/receiver/tracking.h"

namespace stillpoint::simulate {

// What does not change from epoch to epoch.
struct SignalChannel {
  SignalCode signal;
  double frequency_hz = 0;
  const SignalBias* bias = nullptr;  // of the satellite
  double receiver_code_m = 0, receiver_phase_cyc = 0;
  double strength_db = 0;  // against the receiver's zenith_dbhz
  TrackingLoops loops;
  RandomKey noise;
  AntennaBand band;
  SignalTrack track{RandomKey{}};
};

// Makes the channel of a signal; the satellite outlives it.
SignalChannel make_channel(const Sky& sky,
                           const Satellite& satellite,
                           SignalCode signal,
                           std::size_t receiver);

struct SignalContext {
  const Scenario* scenario = nullptr;
  const ReceiverScenario* receiver = nullptr;
  const SatelliteTerms* satellite = nullptr;
  std::span<const Reflection> reflections;
  ReceiverClock::Reading clock;
  double t_s = 0, before_s = 0;  // GPST of this epoch and the one before
};

// The observation; false when the signal is not tracked. `terms` is filled as
// far as it goes.
bool measure_signal(const SignalContext& context,
                    SignalChannel& channel,
                    Observation& observation,
                    SignalTerms& terms);

}  // namespace stillpoint::simulate
