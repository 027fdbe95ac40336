#include "stillpoint/simulate/receiver/receiver.h"

#include <algorithm>
#include <array>
#include <numbers>

#include "stillpoint/simulate/nature/multipath.h"
#include "stillpoint/simulate/receiver/air.h"
#include "stillpoint/simulate/receiver/signal_model.h"
#include "stillpoint/simulate/streams.h"

namespace stillpoint::simulate {
namespace {

struct SatelliteChannel {
  const Satellite* satellite = nullptr;
  std::vector<SignalChannel> signals;
  double wind_up_cyc = 0;
};

// The surfaces around a receiver. Where a scenario does not say how a surface
// turns the phase, which hangs on its material and its last centimetres, each
// seed has a turn of its own: then the errors of many seeds have no common
// mean.
std::vector<ReflectingPlane> planes_of(const Scenario& scenario,
                                       std::size_t number) {
  const RandomKey key = sub_key(key_of(scenario.seed, Stream::kReflector),
                                static_cast<std::uint64_t>(number));
  std::vector<ReflectingPlane> planes;
  for (const Reflector& reflector : scenario.receivers[number].reflectors) {
    ReflectingPlane& plane = planes.emplace_back(reflector.plane);
    if (reflector.phase_by_seed) {
      plane.phase_rad =
          2 * std::numbers::pi * random_uniform(key, planes.size() - 1);
    }
  }
  return planes;
}

}  // namespace

class SimulatedReceiver::Impl {
 public:
  Impl(const Sky& sky, std::size_t number)
      : sky_(sky),
        scenario_(sky.scenario()),
        receiver_(scenario_.receivers[number]),
        site_(scenario_, receiver_),
        clock_(scenario_, receiver_, number),
        planes_(planes_of(scenario_, number)) {
    for (const Satellite& satellite : sky.satellites()) {
      SatelliteChannel c;
      c.satellite = &satellite;
      const auto system = static_cast<std::size_t>(satellite.sat.system);
      for (const SignalCode signal : receiver_.signals[system]) {
        if (satellite.find(signal) != nullptr) {
          c.signals.push_back(make_channel(sky, satellite, signal, number));
        }
      }
      if (!c.signals.empty()) {
        channels_.push_back(std::move(c));
      }
    }
  }

  bool observe(double t_s, Epoch& epoch, EpochTerms* terms) {
    epoch.clear();
    epoch.time = sky_.time(t_s);
    const ReceiverClock::Reading clock = clock_.at(t_s);
    ViewPoint from;
    from.t_s = t_s - clock.offset_s;
    if (in_gap(from.t_s)) {
      lose_all();
      return false;
    }
    from.site = &site_;
    from.state = site_.at(from.t_s);
    from.air = air_over(scenario_, receiver_.marker, from.t_s);
    if (terms != nullptr) {
      begin(from, clock, epoch.time, *terms);
    }
    for (SatelliteChannel& c : channels_) {
      observe(from, clock, c, epoch, terms);
    }
    before_s_ = from.t_s;
    return true;
  }

  const Scenario& scenario() const { return scenario_; }
  const ReceiverScenario& receiver() const { return receiver_; }
  const Site& site() const { return site_; }

 private:
  static void begin(const ViewPoint& from,
                    const ReceiverClock::Reading& clock,
                    GnssTime time,
                    EpochTerms& terms) {
    terms.time = time;
    terms.true_s = from.t_s;
    terms.clock_s = clock.offset_s;
    terms.arp_m = from.state.arp.position_m;
    terms.tide_m = from.state.tide_m;
    terms.loading_m = from.state.loading_m;
    terms.moved_m = from.state.moved_m;
    terms.zenith_hydrostatic_m = from.air.zenith_hydrostatic_m;
    terms.zenith_wet_m = from.air.zenith_wet_m;
    terms.satellites.clear();
    terms.signals.clear();
  }

  bool in_gap(double t_s) const {
    return scenario_.effects.has(Effect::kGaps) &&
           std::ranges::any_of(receiver_.gaps, [&](const Span& gap) {
             return t_s >= gap.from_s && t_s < gap.to_s;
           });
  }

  void lose_all() {
    for (SatelliteChannel& c : channels_) {
      for (SignalChannel& signal : c.signals) {
        signal.track.lose();
      }
    }
  }

  bool is_hidden(const AzEl& direction) const {
    return direction.elevation_rad < receiver_.mask_rad ||
           (scenario_.effects.has(Effect::kSkyline) &&
            direction.elevation_rad <
                skyline_rad(receiver_.skyline, direction.azimuth_rad));
  }

  std::size_t reflections_of(const AzEl& direction) {
    std::size_t count = 0;
    if (!scenario_.effects.has(Effect::kMultipath)) {
      return 0;
    }
    const AntennaGain gain;
    for (const ReflectingPlane& plane : planes_) {
      const Reflection r = reflect(plane, direction, gain);
      if (r.amplitude > 0 && count < reflections_.size()) {
        reflections_[count++] = r;
      }
    }
    return count;
  }

  void observe(const ViewPoint& from,
               const ReceiverClock::Reading& clock,
               SatelliteChannel& c,
               Epoch& epoch,
               EpochTerms* terms) {
    if (is_hidden(rough_direction(from, *c.satellite))) {
      for (SignalChannel& signal : c.signals) {
        signal.track.lose();
      }
      return;
    }
    const SatelliteTerms satellite =
        view(sky_, from, *c.satellite, c.wind_up_cyc);
    c.wind_up_cyc = satellite.wind_up_cyc;
    const std::size_t reflections = reflections_of(satellite.direction);
    const SignalContext context{
        .scenario = &scenario_,
        .receiver = &receiver_,
        .satellite = &satellite,
        .reflections = std::span(reflections_).first(reflections),
        .clock = clock,
        .t_s = from.t_s,
        .before_s = before_s_};
    SatRows rows{
        .sat = satellite.sat,
        .count = 0,
        .first = static_cast<std::uint32_t>(epoch.observations.size())};
    for (SignalChannel& signal : c.signals) {
      Observation observation;
      SignalTerms parts;
      if (!measure_signal(context, signal, observation, parts)) {
        continue;
      }
      epoch.observations.push_back(observation);
      ++rows.count;
      if (terms != nullptr) {
        terms->signals.push_back(parts);
      }
    }
    if (rows.count > 0) {
      epoch.satellites.push_back(rows);
      if (terms != nullptr) {
        add_product_terms(
            from, *c.satellite, terms->satellites.emplace_back(satellite));
      }
    }
  }

  const Sky& sky_;
  const Scenario& scenario_;
  const ReceiverScenario& receiver_;
  Site site_;
  ReceiverClock clock_;
  std::vector<ReflectingPlane> planes_;
  std::vector<SatelliteChannel> channels_;
  std::array<Reflection, kMostReflections> reflections_{};
  double before_s_ = -1e9;
};

SimulatedReceiver::SimulatedReceiver(const Sky& sky, std::size_t number)
    : impl_(std::make_unique<Impl>(sky, number)) {}
SimulatedReceiver::~SimulatedReceiver() = default;
SimulatedReceiver::SimulatedReceiver(SimulatedReceiver&&) noexcept = default;
SimulatedReceiver& SimulatedReceiver::operator=(SimulatedReceiver&&) noexcept =
    default;

bool SimulatedReceiver::observe(double t_s, Epoch& epoch, EpochTerms* terms) {
  return impl_->observe(t_s, epoch, terms);
}

const ReceiverScenario& SimulatedReceiver::description() const {
  return impl_->receiver();
}

const Site& SimulatedReceiver::site() const {
  return impl_->site();
}

}  // namespace stillpoint::simulate
