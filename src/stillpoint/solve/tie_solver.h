// `tie`: the vector between two antennas from the differences of what they
// observed at the same time.
#pragma once

#include <cstdint>
#include <memory>
#include <string>

#include "stillpoint/gnss/epoch.h"
#include "stillpoint/gnss/orbit_source.h"
#include "stillpoint/solve/ppp_options.h"
#include "stillpoint/solve/ppp_series.h"
#include "stillpoint/solve/solution.h"

namespace stillpoint::solve {

// One end of a tie, from its file's header.
struct TieEnd {
  std::string name;          // of the marker, for messages
  std::string antenna_type;  // 16 columns of type, 4 of radome
  std::string antenna_serial;
  std::string receiver_type;
  Enu antenna_delta_enu_m;
};

struct TieOptions {
  SystemSet systems = SystemSet::all();
  double elevation_mask_rad = 7.0 * 3.14159265358979 / 180.0;
  TermSet without;
  PppAids aids;
  TieEnd here, there;
  Ecef there_marker_m;  // known, in the frame of the answer, at the epoch
  std::array<std::optional<int>, 100> glonass_channel{};
  bool integers = true;         // false: `--ambiguities float`
  double failure_rate = 0.001;  // of the integers
};

// How the ionosphere of the two ends was treated.
enum class TieIonosphere : std::uint8_t {
  kNone,         // taken for the same
  kConstrained,  // an unknown of every satellite, kept near zero
  kFree,         // an unknown of every satellite and epoch
};
const char* ionosphere_name(TieIonosphere i);  // "none", "constrained", "free"

struct TieAnswer {
  // Position: the marker here, there_marker_m plus the vector, frame kNone;
  // the covariance is the vector's, without that of the known coordinate.
  Solution solution;
  Ecef vector_m;         // marker to marker, here minus there
  Cov3 covariance_m2{};  // ECEF, whole (calibration term included)
  TieIonosphere ionosphere = TieIonosphere::kNone;
  bool air_estimated = false;  // the relative zenith delay was an unknown
  double length_m = 0;
  std::string handling;  // a sentence: signals, ionosphere, air, and why
};

class TieSolver {
 public:
  // `orbits` and the options' aids must outlive the solver.
  TieSolver(const TieOptions& options, const OrbitSource& orbits);
  ~TieSolver();
  TieSolver(TieSolver&&) noexcept;
  TieSolver& operator=(TieSolver&&) noexcept;

  // One epoch of both, observed at the same time (tags within a tenth of a
  // second), in time order.
  void add(const Epoch& here, const Epoch& there);

  // Always answers; see Solution::why.
  TieAnswer solve();

  // Of the last solve(): growth of the vector, residuals of single
  // differences (phase_m, code_m of the first band).
  [[nodiscard]] const PppSeries& series() const;

  struct State;

 private:
  std::unique_ptr<State> state_;
};

}  // namespace stillpoint::solve
