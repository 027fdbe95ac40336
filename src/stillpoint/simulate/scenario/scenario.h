// A simulated world as somebody describes it: what docs/formats/scenario.md
// explains key by key. Values only; world.h makes the sky of it.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/geo/coords.h"
#include "stillpoint/gnss/satellite.h"
#include "stillpoint/gnss/signal.h"
#include "stillpoint/simulate/nature/ionosphere.h"
#include "stillpoint/simulate/nature/multipath.h"
#include "stillpoint/simulate/nature/ocean_loading.h"
#include "stillpoint/simulate/nature/scintillation.h"
#include "stillpoint/simulate/scenario/effects.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::simulate {

// [sky]: sizes of errors, one sigma.
struct SkyScenario {
  std::string systems = "GRECJ";
  double broadcast_along_m = 1.0, broadcast_across_m = 0.6;
  double broadcast_radial_m = 0.2, broadcast_clock_m = 0.4;
  // Wander of a satellite's clock over one second, times c; GLONASS three
  // times that.
  double clock_walk_m = 0.001;
  double code_bias_m = 1.0;  // of a signal against the others
};

// [weather]: at the height of the receiver that stands first.
struct WeatherScenario {
  // Mean, about which the seed's weather puts it; empty: standard atmosphere.
  std::optional<double> pressure_hpa;
  double wet_zenith_m = 0.12;
  double wet_change_m = 0.02;  // sigma about the mean, over wet_hours
  double wet_hours = 4;
  double gradient_m = 0.0006;  // sigma, north and east
  // Sigma of the difference of two places 10 km apart (nature/wet_field.h).
  double wet_apart_m = 0.003;
};

struct ScintillationSpell {
  double from_s = 0, to_s = 0;
  ScintillationStrength strength;
  // Rays that cross the shell north of it are not touched.
  double north_limit_rad = 2;
};

// [[jammer]]
struct Jammer {
  double from_s = 0, to_s = 0;
  std::string bands;       // band digits, "1" or "12"; empty: all
  double strength_db = 0;  // what the C/N0 loses in the middle
  // Rises and falls as of somebody who passes by; else at once.
  bool passing = false;
};

enum class ClockKind : std::uint8_t {
  kQuartz,       // runs free
  kMillisecond,  // set by whole milliseconds where it is half of one off
  kSteered,      // held near GPST
};

// [[receiver.move]]: the antenna from then on, relative to where it stands.
struct AntennaMove {
  double at_s = 0;
  double over_s = 0;  // 0: at once
  Enu offset_m;       // reached at the end, and kept
};

// [[receiver.waypoint]]: a rover drives from one to the next and stands at the
// last.
struct Waypoint {
  double at_s = 0;
  Enu from_start_m;
};

struct SlipEvent {
  double at_s = 0;
  SatId sat;
  std::string band;  // digit; empty: all
  double cycles = 0;
};

struct Span {
  double from_s = 0, to_s = 0;
};

struct Reflector {
  std::string name;
  ReflectingPlane plane;  // its name is empty, this one counts
  // The turn at the reflection is drawn from the seed; else the plane's.
  bool phase_by_seed = false;
};

struct SkylinePoint {
  double azimuth_rad = 0, elevation_rad = 0;
};

struct ReceiverScenario {
  std::string name = "LHOL00XXX";  // as in file names
  std::string receiver_type = "SPDEMO-R1", receiver_serial = "0001";
  std::string firmware = "1.0";
  std::string antenna = "SPDEMO-A1       NONE", antenna_serial = "0001";
  Geodetic marker;  // GRS80
  double antenna_height_m = 0, antenna_east_m = 0, antenna_north_m = 0;
  double interval_s = 30;
  std::array<std::vector<SignalCode>, kSystemCount> signals;
  double zenith_dbhz = 50;  // C/N0 under an open sky
  double least_dbhz = 25;   // below it a signal is lost
  double mask_rad = 0;      // nothing is tracked below
  ClockKind clock = ClockKind::kSteered;
  double clock_offset_s = 0;          // added to all that the clock does
  std::optional<double> clock_drift;  // [s/s] unless steered; empty: by seed
  double slips_per_hour = 0.02;       // of a signal, at 10 degrees of elevation
  double unflagged_slips = 0.1;       // share that the receiver does not notice
  double half_cycle_s = 6;            // open after each lock
  std::vector<SkylinePoint> skyline;  // by azimuth, straight between them
  std::vector<Reflector> reflectors;
  OceanLoading loading;
  std::vector<AntennaMove> moves;
  std::vector<Waypoint> waypoints;
  std::vector<SlipEvent> slips;
  std::vector<Span> gaps;
};

struct Scenario {
  std::string name, about;
  std::uint64_t seed = 1;
  GnssTime start;
  double length_s = 86'400;
  EffectSet effects = EffectSet::all();
  SkyScenario sky;
  WeatherScenario weather;
  Ionosphere ionosphere;
  std::vector<ScintillationSpell> scintillation;
  std::vector<Jammer> jammers;
  std::vector<ReceiverScenario> receivers;  // at least one
};

//   toml     the text, at most 256 KiB
//   name     what stands before line and column
//   errors   kConfig: all mistakes, a line each, with "name:line:column", the
//            value, what is allowed and what to write
Result<Scenario> parse_scenario(std::string_view toml, std::string_view name);

// The scenarios that the program carries, by name; nothing for another name.
std::optional<std::string_view> find_shipped_scenario(std::string_view name);
std::vector<std::string_view> shipped_scenario_names();

}  // namespace stillpoint::simulate
