// From an epoch's observations and an orbit source to code measurements with
// everything removed that does not depend on where the antenna is, and from
// those to rows linearised about a position.
#pragma once

#include <optional>
#include <vector>

#include "stillpoint/gnss/epoch.h"
#include "stillpoint/gnss/orbit_source.h"
#include "stillpoint/models/troposphere.h"
#include "stillpoint/solve/code_options.h"
#include "stillpoint/solve/code_pair.h"
#include "stillpoint/solve/code_rows.h"
#include "stillpoint/solve/solution.h"

namespace stillpoint::solve {

// One satellite at one epoch, place-independent.
struct CodeMeasurement {
  SatId sat;
  double range_m = 0;          // satellite clock and group delay removed
  Ecef satellite_m;            // axes of the sending time
  double noise_scale = 1;      // of the combination over one code
  double cn0_dbhz = kMissing;  // the weaker one
  double first_hz = 0;
  char first_band = 0, second_band = 0;
  double weight_first = 1, weight_second = 0;
  float orbit_m = 0;
  float bias_m = 0;  // one sigma of code biases that nobody stated
  bool one_frequency = false;
  std::uint8_t group = 0;
};

// What is remembered about satellites that were left out or are incomplete.
struct MeasureLog {
  Counts* counts = nullptr;
  int unknown_biases = 0;
  int centre_of_mass = 0;
  int one_frequency = 0;
  int empty_epochs = 0;  // observations, but no satellite to use
  int without_ionosphere_model = 0;
};

// Measurements of an epoch. Groups not seen before are appended to
// session.groups.
void measure(const Epoch& epoch,
             const OrbitSource& orbits,
             const CodeOptions& options,
             CodeSession& session,
             MeasureLog& log,
             std::vector<CodeMeasurement>& out);

// The atmosphere of a place on a day.
class SiteAtmosphere {
 public:
  // Renews itself when the place or the day changes.
  void prepare(const Ecef& site, GnssTime t);
  [[nodiscard]] bool ready() const { return troposphere_.has_value(); }
  [[nodiscard]] const models::TroposphereModel& troposphere() const {
    return *troposphere_;
  }
  [[nodiscard]] const Geodetic& place() const { return place_; }
  [[nodiscard]] const Mat3& enu_R_ecef() const { return enu_R_ecef_; }

 private:
  std::optional<models::TroposphereModel> troposphere_;
  Geodetic place_;
  Mat3 enu_R_ecef_{};
  Ecef site_;
  std::int64_t day_ = -1;
};

// Appends the rows of one epoch, linearised about session.reference. Where the
// reference is not near the Earth's surface (first search), atmosphere and
// mask are left out.
void linearise(const std::vector<CodeMeasurement>& measurements,
               GnssTime time,
               const CodeOptions& options,
               SiteAtmosphere& atmosphere,
               CodeSession& session,
               MeasureLog& log);

}  // namespace stillpoint::solve
