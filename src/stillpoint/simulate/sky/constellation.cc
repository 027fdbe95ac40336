#include "stillpoint/simulate/sky/constellation.h"

#include <cmath>
#include <numbers>

#include "stillpoint/simulate/streams.h"

namespace stillpoint::simulate {
namespace {

constexpr double kTurn = 2 * std::numbers::pi;
constexpr double kDegree = std::numbers::pi / 180;
constexpr double kSynchronousM = 42'164'170;
// Before and after a scenario's time, for signals on their way and products.
constexpr double kMarginS = 3 * 3600;

// A regular pattern of circles: planes evenly around the Earth, satellites
// evenly along each, every plane a little ahead of the one before.
struct Pattern {
  System system;
  int planes, slots;
  int first_number;
  double a_m, inclination_rad;
  double largest_eccentricity;
  double gm, earth_rate;
  double node_rate_rad_per_s;  // by the Earth's flattening
};

// Numbers of a satellite's own: an index for each thing that is random.
enum Draw : std::uint64_t {
  kEccentricity,
  kPerigee,
  kPlace,
  kTilt,
  kCuc,
  kCus,
  kCrc,
  kCrs,
  kCic,
  kCis,
  kClockOffset,
  kClockDrift,
  kIdot
};

double spread(const RandomKey& key, Draw draw) {
  return 2 * random_uniform(key, draw) - 1;
}

Elements elements_of(const Pattern& p,
                     int plane,
                     double slot,
                     const RandomKey& key) {
  Elements o;
  o.a_m = p.a_m;
  o.mean_motion_rad_per_s = std::sqrt(p.gm / (p.a_m * p.a_m * p.a_m));
  o.eccentricity =
      p.largest_eccentricity * (0.1 + 0.9 * random_uniform(key, kEccentricity));
  o.omega_rad = kTurn / 2 * spread(key, kPerigee);
  o.i0_rad = p.inclination_rad + 0.5 * kDegree * spread(key, kTilt);
  o.idot_rad_per_s = 3e-10 * spread(key, kIdot);
  o.node_rad = std::remainder(kTurn * plane / p.planes + 0.3, kTurn);
  o.node_rate_rad_per_s = p.node_rate_rad_per_s;
  const double along = kTurn * (slot + 0.33 * plane) / p.slots +
                       2 * kDegree * spread(key, kPlace);
  o.m0_rad = std::remainder(along - o.omega_rad, kTurn);
  o.cuc_rad = 5e-6 * spread(key, kCuc);
  o.cus_rad = 8e-6 * (1 + 0.2 * spread(key, kCus));
  o.crc_m = 220 * (1 + 0.3 * spread(key, kCrc));
  o.crs_m = 80 * spread(key, kCrs);
  o.cic_rad = 1.5e-7 * spread(key, kCic);
  o.cis_rad = 1.5e-7 * spread(key, kCis);
  o.earth_rate_rad_per_s = p.earth_rate;
  return o;
}

Satellite satellite_of(SatId sat, const Scenario& scenario) {
  Satellite s;
  s.sat = sat;
  const RandomKey key = key_of(scenario.seed, Stream::kConstellation, sat);
  s.clock.offset_s = 3e-4 * spread(key, kClockOffset);
  s.clock.drift_s_per_s = 4e-12 * spread(key, kClockDrift);
  return s;
}

SatId sat_id(System system, int number) {
  return {system, static_cast<std::uint8_t>(number)};
}

void add_pattern(const Scenario& scenario,
                 const Pattern& p,
                 int count,
                 std::vector<Satellite>& out) {
  for (int i = 0; i < count; ++i) {
    Satellite s = satellite_of(sat_id(p.system, p.first_number + i), scenario);
    const RandomKey key = key_of(scenario.seed, Stream::kConstellation, s.sat);
    const int plane = i % p.planes;
    // Beyond the pattern: between two of a plane.
    const int lap = i / p.planes;
    const double slot = lap < p.slots ? lap : lap - p.slots + 0.5;
    s.elements = elements_of(p, plane, slot, key);
    s.gm = p.gm;
    out.push_back(std::move(s));
  }
}

void add_glonass(const Scenario& scenario, std::vector<Satellite>& out) {
  const Pattern p{System::kGlonass,
                  3,
                  8,
                  1,
                  25'508'000,
                  64.8 * kDegree,
                  0.002,
                  kGmGalileo,
                  kRateGlonass,
                  0};
  for (int i = 0; i < 24; ++i) {
    Satellite s = satellite_of(sat_id(System::kGlonass, 1 + i), scenario);
    const RandomKey key = key_of(scenario.seed, Stream::kConstellation, s.sat);
    Elements start = elements_of(p, i / 8, i % 8, key);
    start.idot_rad_per_s = start.cuc_rad = start.cus_rad = 0;
    start.crc_m = start.crs_m = start.cic_rad = start.cis_rad = 0;
    s.integrated = std::make_shared<IntegratedOrbit>(
        motion_of(start, 0), -kMarginS, scenario.length_s + kMarginS);
    s.kind = OrbitKind::kIntegrated;
    s.gm = p.gm;
    // Antipodes share a channel: -7 .. 0 and 3 .. 6.
    s.channel = (i / 8) * 4 + i % 4 - 7 + (i / 8 == 2 ? 2 : 0);
    out.push_back(std::move(s));
  }
}

// Geosynchronous satellites: a figure of eight about a longitude, or nearly
// still.
void add_synchronous(const Scenario& scenario,
                     SatId sat,
                     double longitude_rad,
                     double inclination_rad,
                     double eccentricity,
                     double perigee_rad,
                     double lag_rad,
                     double rate,
                     std::vector<Satellite>& out) {
  Satellite s = satellite_of(sat, scenario);
  Elements& o = s.elements;
  s.gm = sat.system == System::kQzss ? kGmGps : kGmGalileo;
  o.mean_motion_rad_per_s = rate;
  o.a_m = std::cbrt(s.gm / (rate * rate));
  o.eccentricity = eccentricity;
  o.i0_rad = inclination_rad;
  o.omega_rad = perigee_rad;
  // Over the node when the node is at the longitude.
  o.m0_rad = lag_rad;
  o.node_rad = std::remainder(longitude_rad - perigee_rad - lag_rad, kTurn);
  o.earth_rate_rad_per_s = rate;
  out.push_back(std::move(s));
}

void add_beidou(const Scenario& scenario, std::vector<Satellite>& out) {
  const double rate = kRateBeidou;
  const double places_deg[] = {80.0, 110.5, 59.0};
  for (int i = 0; i < 3; ++i) {
    add_synchronous(scenario,
                    sat_id(System::kBeidou, 1 + 2 * i),
                    places_deg[i] * kDegree,
                    (0.6 + 0.4 * i) * kDegree,
                    3e-4,
                    0.8 + i,
                    0.3 * i,
                    rate,
                    out);
    out.back().kind = OrbitKind::kGeostationary;
  }
  add_pattern(scenario,
              {System::kBeidou,
               3,
               8,
               19,
               27'906'100,
               55 * kDegree,
               0.0015,
               kGmGalileo,
               kRateBeidou,
               -6.8e-9},
              24,
              out);
  for (int i = 0; i < 3; ++i) {
    add_synchronous(scenario,
                    sat_id(System::kBeidou, 43 + i),
                    (95 + 9 * i) * kDegree,
                    55 * kDegree,
                    0.003,
                    1.0,
                    kTurn / 3 * i,
                    rate,
                    out);
  }
}

void add_qzss(const Scenario& scenario, std::vector<Satellite>& out) {
  for (int i = 0; i < 3; ++i) {
    add_synchronous(scenario,
                    sat_id(System::kQzss, 1 + i),
                    136 * kDegree,
                    41 * kDegree,
                    0.075,
                    270 * kDegree,
                    kTurn / 3 * i,
                    kRateGps,
                    out);
  }
  add_synchronous(scenario,
                  sat_id(System::kQzss, 4),
                  127 * kDegree,
                  0.05 * kDegree,
                  2e-4,
                  0.4,
                  0.2,
                  kRateGps,
                  out);
}

}  // namespace

std::vector<Satellite> make_constellation(const Scenario& scenario) {
  std::vector<Satellite> out;
  const auto wants = [&](char letter) {
    return scenario.sky.systems.find(letter) != std::string::npos;
  };
  if (wants('G')) {
    add_pattern(scenario,
                {System::kGps,
                 6,
                 5,
                 1,
                 26'559'700,
                 55 * kDegree,
                 0.014,
                 kGmGps,
                 kRateGps,
                 -8.1e-9},
                31,
                out);
  }
  if (wants('R')) {
    add_glonass(scenario, out);
  }
  if (wants('E')) {
    add_pattern(scenario,
                {System::kGalileo,
                 3,
                 8,
                 1,
                 29'600'300,
                 56 * kDegree,
                 5e-4,
                 kGmGalileo,
                 kRateGps,
                 -5.4e-9},
                27,
                out);
  }
  if (wants('C')) {
    add_beidou(scenario, out);
  }
  if (wants('J')) {
    add_qzss(scenario, out);
  }
  return out;
}

std::vector<SignalCode> sent_signals(System system) {
  switch (system) {
    case System::kGps:
      return {{'1', 'C'}, {'1', 'W'}, {'2', 'W'}, {'2', 'L'}, {'5', 'Q'}};
    case System::kGlonass:
      return {{'1', 'C'}, {'1', 'P'}, {'2', 'C'}, {'2', 'P'}};
    case System::kGalileo:
      return {{'1', 'C'}, {'5', 'Q'}, {'7', 'Q'}, {'8', 'Q'}, {'6', 'C'}};
    case System::kBeidou:
      return {{'2', 'I'}, {'7', 'I'}, {'6', 'I'}, {'1', 'P'}, {'5', 'P'}};
    case System::kQzss:
      return {{'1', 'C'}, {'2', 'L'}, {'5', 'Q'}};
    case System::kSbas:
    case System::kNavic:
      return {};
  }
  return {};
}

}  // namespace stillpoint::simulate
