// What every method of `locate` answers with. A solve never just fails: it
// says why it stopped.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/geo/coords.h"
#include "stillpoint/gnss/satellite.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::solve {

enum class SolveStatus : std::uint8_t {
  kConverged,
  kNotConverged,  // a position, but not one to rely on
  kFailed,        // no position for lack of usable data
};
const char* status_name(SolveStatus s);  // "converged", …

// Something doubtful that does not stop the answer.
struct Warning {
  std::string code;              // "frame_unknown"
  std::string what;              // a sentence for people
  std::optional<double> size_m;  // how much it may matter
};

// Why observations did not take part.
enum class Exclusion : std::uint8_t {
  kNoOrbit,       // no orbit or clock for the satellite at that time
  kUnhealthy,     // the satellite says so
  kBelowMask,     // under the elevation mask
  kNoSignalPair,  // not the signals the method needs
  kOutlier,       // disagreed with the others
  kTooFew,        // the epoch had too few satellites left
  kSystemOff,     // system not asked for, or not usable by the method
  kNoAntenna,     // phase centre of the satellite not at hand
  kShortArc,      // phase without a break for too short a time
};
inline constexpr int kExclusionCount = 9;
const char* exclusion_name(Exclusion e);  // "no_orbit", …

struct Counts {
  int epochs = 0;                    // used
  int epochs_seen = 0;               // in the time span
  int observations = 0;              // used, one a satellite and epoch
  std::map<System, int> satellites;  // with at least one used observation
  int rejected = 0;                  // outliers
  // Left-out observations by satellite and reason.
  std::map<SatId, std::array<int, kExclusionCount>> excluded;
};

// How well a satellite fitted.
struct SatelliteFit {
  SatId sat;
  int observations = 0, rejected = 0;
  double mean_m = 0, rms_m = 0;  // residuals of those used
};

struct SystemFit {
  System system = System::kGps;
  double noise_factor = 1;  // estimated noise over the a priori model's
  double residual_rms_m = 0;
};

// A position from one epoch or from a piece of the session.
struct PiecePosition {
  GnssTime time;      // middle
  Ecef phase_centre;  // of the antenna
  std::array<double, 3> sigma_enu_m{};
  Cov3 covariance_enu_m2{};
  int satellites = 0;  // fewest in the piece
};

struct Solution {
  SolveStatus status = SolveStatus::kFailed;
  std::string why;  // why it stopped, or what is missing
  // At the middle of the data used. covariance holds the whole uncertainty.
  std::optional<FramedPosition> position;
  std::array<double, 3> sigma_enu_m{};
  std::array<double, 3> sigma_without_calibration_enu_m{};
  std::optional<GnssTime> first, last;  // of the data used
  Counts counts;
  double code_rms_m = 0;
  double zenith_delay_m = 0;  // troposphere, middle epoch
  // Of the phase solution; nothing for others.
  std::optional<double> phase_rms_m;
  std::optional<int> slips;
  int ambiguities = 0;  // of arcs of ten minutes and more, or of 80 % of a
                        // shorter session; of a tie: double differences
  int ambiguities_fixed = 0;  // of those, kept as integers
  // Squared norm of the second best set of integers over that of the best;
  // nothing: none were searched.
  std::optional<double> ambiguity_ratio;
  bool fixed = false;  // the position stands on integers
  // What makes the phases' ambiguities integers ("phase biases of the bias
  // product", …), or why there are none; a sentence's part, for people.
  std::string integers_from;
  std::string calibration = "none";  // of the receiver's antenna
  std::vector<SystemFit> systems;
  std::vector<SatelliteFit> satellites;
  std::vector<Warning> warnings;
};

}  // namespace stillpoint::solve
