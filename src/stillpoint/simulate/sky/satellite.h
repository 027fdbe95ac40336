// One satellite of a simulated world, as it truly is.
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "stillpoint/gnss/satellite.h"
#include "stillpoint/gnss/signal.h"
#include "stillpoint/simulate/nature/satellite_antenna.h"
#include "stillpoint/simulate/sky/orbit.h"
#include "stillpoint/simulate/sky/product_errors.h"

namespace stillpoint::simulate {

// Its clock: a line, and a random walk with a node every half minute.
struct SatelliteClock {
  static constexpr double kNodeS = 30;

  double offset_s = 0, drift_s_per_s = 0;
  double walk_from_s = 0;      // time of the first node
  std::vector<double> walk_s;  // empty: no walk

  // Clock minus GPST without the relativistic term [s].
  [[nodiscard]] double at_s(double t_s) const;
};

// What a signal is late by, in code and phase.
struct SignalBias {
  SignalCode signal;
  double frequency_hz = 0;
  double code_m = 0;
  double phase_cyc = 0;
};

enum class OrbitKind : std::uint8_t {
  kElements,       // as its broadcast sets
  kGeostationary,  // elements that stand still in space, BeiDou's D2
  kIntegrated,     // GLONASS
};

struct Satellite {
  SatId sat;
  OrbitKind kind = OrbitKind::kElements;
  Elements elements;  // not of kIntegrated
  std::shared_ptr<const IntegratedOrbit> integrated;
  double gm = 0;
  std::optional<int> channel;  // GLONASS
  SatelliteClock clock;
  std::vector<SignalBias> signals;  // all that it sends
  SatelliteAntenna antenna;         // the same for all its signals
  ProductErrors product_errors;     // what precise products say wrongly

  // Of the centre of mass.
  [[nodiscard]] Motion motion(double t_s) const {
    return kind == OrbitKind::kIntegrated ? integrated->motion(t_s)
                                          : motion_of(elements, t_s);
  }
  [[nodiscard]] Ecef position(double t_s) const {
    return kind == OrbitKind::kIntegrated ? integrated->motion(t_s).position_m
                                          : position_of(elements, t_s);
  }
  // Nothing for a signal that it does not send.
  [[nodiscard]] const SignalBias* find(SignalCode signal) const;
};

// What a clock product refers to: the code of `first`, or the ionosphere-free
// combination of both.
struct ClockReference {
  SignalCode first, second;  // second may be empty
};

// Delay of the reference behind the satellite's true clock [m]; 0 where the
// satellite does not send it.
double reference_delay_m(const Satellite& satellite,
                         const ClockReference& reference);

}  // namespace stillpoint::simulate
