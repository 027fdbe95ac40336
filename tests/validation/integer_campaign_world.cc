#include "tests/validation/integer_campaign_world.h"

#include <cmath>
#include <numbers>
#include <utility>

#include "stillpoint/core/check.h"
#include "stillpoint/simulate/nature/random.h"
#include "stillpoint/simulate/sky/precise_products.h"

namespace stillpoint::test {
namespace {

using simulate::RandomKey;
using simulate::ReceiverScenario;
using simulate::Scenario;

constexpr double kTurn = 2 * std::numbers::pi;
constexpr double kDegree = std::numbers::pi / 180;
constexpr GnssTime kYearBegins =
    GnssTime::from_ns((2399 * 604'800LL + 4 * 86'400LL) * GnssTime::kNsPerS);

// Uniform numbers of a start, one after the other.
class Draws {
 public:
  explicit Draws(const RandomKey& key) : key_(key) {}
  double between(double least, double most) {
    return least + (most - least) * simulate::random_uniform(key_, next_++);
  }
  double gauss(double sigma) {
    return sigma * simulate::random_gaussian(key_, next_++);
  }

 private:
  RandomKey key_;
  std::uint64_t next_ = 0;
};

std::uint64_t seed_of(const std::string& name, std::uint64_t number) {
  std::uint64_t seed = 0;
  for (const char c : name) {
    seed = simulate::mix_bits(seed ^ static_cast<unsigned char>(c));
  }
  return simulate::mix_bits(seed ^ number);
}

void add_signals(ReceiverScenario& r) {
  const auto list = [&](System system) -> std::vector<SignalCode>& {
    return r.signals[static_cast<std::size_t>(system)];
  };
  list(System::kGps) = {{'1', 'C'}, {'2', 'W'}, {'5', 'Q'}};
  list(System::kGlonass) = {{'1', 'C'}, {'2', 'C'}};
  list(System::kGalileo) = {{'1', 'C'}, {'5', 'Q'}, {'7', 'Q'}};
  list(System::kBeidou) = {{'2', 'I'}, {'6', 'I'}, {'5', 'P'}};
}

// A roof below and a wall beside it.
void add_surroundings(Draws& draws, ReceiverScenario& r) {
  simulate::Reflector roof;
  roof.phase_by_seed = true;
  roof.plane.normal_elev_rad = 90 * kDegree;
  roof.plane.distance_m = draws.between(0.9, 1.8);
  roof.plane.coefficient = draws.between(0.1, 0.25);
  r.reflectors.push_back(roof);
  simulate::Reflector wall;
  wall.phase_by_seed = true;
  const double towards_rad = draws.between(0, kTurn);
  wall.plane.normal_azimuth_rad = std::fmod(towards_rad + kTurn / 2, kTurn);
  wall.plane.first_azimuth_rad = std::fmod(towards_rad + kTurn * 0.92, kTurn);
  wall.plane.last_azimuth_rad = std::fmod(towards_rad + kTurn * 0.08, kTurn);
  wall.plane.distance_m = draws.between(3, 12);
  wall.plane.lowest_elev_rad = -20 * kDegree;
  wall.plane.highest_elev_rad = 30 * kDegree;
  wall.plane.coefficient = draws.between(0.05, 0.15);
  r.reflectors.push_back(wall);
  r.mask_rad = 5 * kDegree;
}

simulate::Ionosphere ionosphere_of(Draws& draws,
                                   const CampaignCell& cell,
                                   const Geodetic& place) {
  simulate::Ionosphere i = cell.disturbed
                               ? simulate::disturbed_ionosphere(place)
                               : simulate::quiet_ionosphere(place);
  if (!cell.disturbed) {
    // Small ones are always there: common practice, no source.
    i.waves[0] = {0.1, 180e3, 1080, 0, 0};
    i.waves[1] = {0.05, 110e3, 700, 0, 0};
  }
  i.level *= draws.between(0.7, 1.4);
  for (simulate::TravellingWave& wave : i.waves) {
    wave.wavelength_m *= draws.between(0.8, 1.25);
    wave.period_s *= draws.between(0.8, 1.25);
    wave.azimuth_rad = draws.between(0, kTurn);
    wave.phase_rad = draws.between(0, kTurn);
  }
  return i;
}

}  // namespace

std::vector<CampaignCell> campaign_cells() {
  std::vector<CampaignCell> cells;
  for (const auto& [name, length_m] : {std::pair("tie-1", 1e3),
                                       std::pair("tie-5", 5e3),
                                       std::pair("tie-10", 10e3),
                                       std::pair("tie-20", 20e3),
                                       std::pair("tie-40", 40e3)}) {
    for (const bool disturbed : {false, true}) {
      CampaignCell cell;
      cell.name = name;
      cell.name += disturbed ? "-wild" : "-quiet";
      cell.length_m = length_m;
      cell.disturbed = disturbed;
      cell.minutes = {1, 2, 5, 10, 20, 30, 60};
      cells.push_back(cell);
    }
  }
  CampaignCell alone;
  alone.name = "ppp";
  alone.ppp = true;
  alone.minutes = {10, 20, 30, 60, 120};
  cells.push_back(alone);
  return cells;
}

Scenario campaign_scenario(const CampaignCell& cell, std::uint64_t number) {
  Scenario s;
  s.seed = seed_of(cell.name, number);
  Draws draws({s.seed, 0x696e7467});
  s.name = cell.name;
  // At a whole half minute of the year, as receivers tag their epochs.
  s.start = kYearBegins + Duration{30 * std::floor(draws.between(0, 1e6))};
  s.length_s = 60.0 * cell.minutes.back();
  s.weather.wet_zenith_m = draws.between(0.03, 0.25);
  s.weather.wet_apart_m = draws.between(0.002, 0.005);
  ReceiverScenario first;
  first.name = "LHOL00XXX";
  first.interval_s = CampaignWorld::kIntervalS;
  first.marker = {draws.between(-58, 62) * kDegree,
                  draws.between(-180, 180) * kDegree,
                  draws.between(20, 1200)};
  first.antenna_height_m = draws.between(0.05, 0.2);
  first.zenith_dbhz = draws.between(47, 51);
  add_signals(first);
  s.ionosphere = ionosphere_of(draws, cell, first.marker);
  ReceiverScenario second = first;
  second.name = "SCND00XXX";
  second.receiver_type = "SPDEMO-R2";
  second.antenna = "SPDEMO-A2       NONE";
  second.antenna_height_m = draws.between(0.05, 1.8);
  second.zenith_dbhz = draws.between(46, 51);
  second.clock = simulate::ClockKind::kMillisecond;
  second.clock_offset_s = 0.022;
  const double towards_rad = draws.between(0, kTurn);
  // Valleys and hills: a hundredth of the way, and ten metres.
  const double up_m = draws.gauss(10 + 0.005 * cell.length_m);
  second.marker = to_geodetic(from_enu({cell.length_m * std::sin(towards_rad),
                                        cell.length_m * std::cos(towards_rad),
                                        0},
                                       to_ecef(first.marker)));
  second.marker.height_m = first.marker.height_m + up_m;
  add_surroundings(draws, first);
  add_surroundings(draws, second);
  s.receivers = {first};
  if (!cell.ppp) {
    s.receivers.push_back(second);
  }
  return s;
}

CampaignWorld::CampaignWorld(const CampaignCell& cell, std::uint64_t number)
    : sky_(campaign_scenario(cell, number)) {
  for (std::size_t i = 0; i < sky_.scenario().receivers.size(); ++i) {
    receivers_.emplace_back(sky_, i);
  }
  make_products();
  describe(sky_.scenario());
}

void CampaignWorld::observe(std::size_t epochs) {
  for (std::size_t i = 0; i < receivers_.size(); ++i) {
    std::vector<Epoch>& list = i + 1 == receivers_.size() ? here : there;
    while (list.size() < epochs) {
      const double t_s = kIntervalS * static_cast<double>(list.size());
      const bool seen =
          receivers_[i].observe(t_s, list.emplace_back(), nullptr);
      STILLPOINT_CHECK(seen);
    }
  }
}

void CampaignWorld::make_products() {
  const Duration hour{3600.0}, step{kIntervalS};
  const GnssTime from = sky_.time(0), to = sky_.time(sky_.scenario().length_s);
  bool added =
      source.orbits
          .add(simulate::make_orbits(sky_, from - hour, to + hour, 300))
          .has_value();
  source.clocks.add(
      simulate::make_clocks(sky_, from - step, to + step, kIntervalS));
  added = added &&
          source.biases.add(simulate::make_biases(sky_, from, to + step))
              .has_value() &&
          patterns_.add(simulate::make_antennas(sky_)).has_value();
  STILLPOINT_CHECK(added);
  source.has_clocks = source.has_biases = true;
}

void CampaignWorld::describe(const Scenario& scenario) {
  const auto end_of = [](const ReceiverScenario& r) {
    solve::TieEnd end;
    end.name = r.name;
    end.antenna_type = r.antenna;
    end.antenna_serial = r.antenna_serial;
    end.receiver_type = r.receiver_type;
    end.antenna_delta_enu_m = {
        r.antenna_east_m, r.antenna_north_m, r.antenna_height_m};
    return end;
  };
  const ReceiverScenario& known = scenario.receivers.front();
  const ReceiverScenario& sought = scenario.receivers.back();
  here_m = to_ecef(sought.marker);
  solve::PppAids aids;
  aids.patterns = &patterns_;
  aids.biases = &source.biases;
  aids.clocks = &source.clocks;
  aids.orbits_first = source.orbits.first();
  aids.orbits_last = source.orbits.last();
  aids.clocks_first = source.clocks.first();
  aids.clocks_last = source.clocks.last();
  tie.aids = aids;
  tie.here = end_of(sought);
  tie.there = end_of(known);
  tie.there_marker_m = to_ecef(known.marker);
  ppp.aids = aids;
  ppp.antenna_type = sought.antenna;
  ppp.antenna_serial = sought.antenna_serial;
  ppp.antenna_delta_enu_m = tie.here.antenna_delta_enu_m;
  for (const simulate::Satellite& s : sky_.satellites()) {
    if (s.channel) {
      tie.glonass_channel[s.sat.number] = s.channel;
    }
  }
  ppp.glonass_channel = tie.glonass_channel;
}

}  // namespace stillpoint::test
