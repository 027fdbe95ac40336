// What a tie keeps of a session: for every satellite that both ends observed
// at an epoch one sight, and in it one row for every band with a signal that
// both tracked. Differences are here minus there.
#pragma once

#include <cmath>
#include <cstdint>
#include <span>
#include <vector>

#include "stillpoint/geo/coords.h"
#include "stillpoint/gnss/epoch.h"
#include "stillpoint/gnss/satellite.h"
#include "stillpoint/gnss/signal.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::solve {

// Rows whose receivers' share is the same for all satellites: one system, one
// band, one signal at each end.
struct TieGroup {
  System system = System::kGps;
  SignalCode here, there;  // of the phases
  friend bool operator==(const TieGroup&, const TieGroup&) = default;
};

enum TieFlag : std::uint8_t {
  kTieCodeOut = 1,   // its code was edited out
  kTiePhaseOut = 2,  // its phase was edited out
  kTieShortArc = 4,  // its arc is too short to be worth an ambiguity
  kTieSlip = 8,      // a new arc begins here
};

struct TieRow {
  std::uint16_t group = 0;
  std::uint8_t flags = 0;
  std::uint8_t lli = 0;     // of both phases
  float cn0_dbhz = 0;       // of the weaker one; NaN: not given
  double wavelength_m = 0;  // of this satellite's carrier
  // As observed [m]; a code may be missing (NaN).
  double phase_here_m = 0, phase_there_m = 0;
  double code_here_m = kMissing, code_there_m = kMissing;

  // Observed minus computed difference about the reference [m].
  double phase_m = 0, code_m = kMissing;
  std::uint32_t arc = 0;
  float phase_residual_m = 0, code_residual_m = 0;

  // Observed minus computed code [m], that of GLONASS between two makes too,
  // which is metres off; NaN: no code. Before offsets are taken off the phases.
  [[nodiscard]] double raw_code_m() const {
    return code_here_m - code_there_m -
           (phase_here_m - phase_there_m - phase_m);
  }
  [[nodiscard]] bool has_code() const { return is_present(code_m); }
  [[nodiscard]] bool code_used() const {
    return has_code() && (flags & kTieCodeOut) == 0;
  }
  [[nodiscard]] bool phase_used() const {
    return (flags & (kTiePhaseOut | kTieShortArc)) == 0;
  }
};

struct TieSight {
  SatId sat;
  bool modelled = false;  // orbit at hand, above the mask at both ends
  std::uint16_t count = 0;
  std::uint32_t first = 0;  // of rows
  Ecef to_satellite;        // unit vector from the antenna here
  float azimuth_rad = 0, elevation_rad = 0;  // the lower one of both ends
  float wet_here = 1, wet_there = 1;         // mapping of the wet delay
};

struct TieEpoch {
  GnssTime time;                       // tag of the receiver here
  Duration tag_difference;             // tag there minus tag here
  std::uint32_t first = 0, count = 0;  // of sights
};

// A run of one satellite's phase differences of one group without a slip.
struct TieArc {
  SatId sat;
  std::uint16_t group = 0;
  GnssTime first, last;
  int rows = 0;
  double wavelength_m = 0;
  double offset_cyc = 0;  // whole cycles taken off its phases
  double cosecant = 1;    // of the elevation, mean
  bool holdable = true;   // may become an integer
};

struct TieSession {
  std::vector<TieGroup> groups;
  std::vector<TieEpoch> epochs;
  std::vector<TieSight> sights;
  std::vector<TieRow> rows;
  std::vector<TieArc> arcs;
  Ecef reference_m;  // of the marker here
  double interval_s = 30;
  // Every so many epochs take part in the adjustment; all of them show slips.
  std::size_t stride = 1;

  [[nodiscard]] bool adjusted(std::size_t epoch) const {
    return epoch % stride == 0;
  }
  // Parts of the session, alike in epochs.
  [[nodiscard]] std::size_t first_of_part(std::size_t part,
                                          std::size_t count) const {
    return (part * epochs.size() + count - 1) / count;
  }
  // Between epochs that take part [s].
  [[nodiscard]] double step_s() const {
    return interval_s * static_cast<double>(stride);
  }

  [[nodiscard]] std::span<TieSight> sights_of(const TieEpoch& e) {
    return std::span(sights).subspan(e.first, e.count);
  }
  [[nodiscard]] std::span<const TieSight> sights_of(const TieEpoch& e) const {
    return std::span(sights).subspan(e.first, e.count);
  }
  [[nodiscard]] std::span<TieRow> rows_of(const TieSight& s) {
    return std::span(rows).subspan(s.first, s.count);
  }
  [[nodiscard]] std::span<const TieRow> rows_of(const TieSight& s) const {
    return std::span(rows).subspan(s.first, s.count);
  }
  [[nodiscard]] double span_s() const {
    return epochs.empty() ? 0 : (epochs.back().time - epochs.front().time).s;
  }
};

}  // namespace stillpoint::solve
