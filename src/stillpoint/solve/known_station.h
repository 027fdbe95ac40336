// A known coordinate on its way to the epoch of the observations.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/datum/plate_motion.h"
#include "stillpoint/geo/coords.h"
#include "stillpoint/solve/solution.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::solve {

struct KnownCoordinate {
  Ecef position_m;
  std::optional<std::array<double, 3>> sigma_m;  // along x, y, z
  std::string frame;  // as typed, "ITRF2014"; empty: not given
  std::optional<GnssTime> epoch;
};

// What was said about its motion.
struct KnownMotion {
  enum class Kind : std::uint8_t {
    kNotSaid,
    kVelocity,  // --velocity
    kPlate,     // --plate
    kNone,      // --no-motion
  };
  Kind kind = Kind::kNotSaid;
  EcefVelocity velocity;  // of kVelocity
  std::string plate;      // of kPlate, as typed
};

struct MovedKnown {
  Ecef position_m;       // at the epoch observed
  Cov3 covariance_m2{};  // ECEF; zeros: nobody gave a sigma
  std::string moved_by;  // "none", "given velocity", "plate model ITRF2020
                         // EURA"
  double moved_m = 0;
  std::vector<Warning> warnings;
};

// The coordinate at the epoch observed, by what was said of its motion. A
// plate's rotation is that of the model of the coordinate's own frame.
//
//   covariance  of the given sigmas; a plate's velocity adds 1 mm/year for each
//               component (from memory: what stations inside plates differ
//               from the models by). A given velocity is taken as exact
//   refuses     to leave a motion out in silence: an epoch that differs by more
//               than 4.6 days (1 mm at 80 mm/year, more than the fastest plate
//               of the models) and nothing said
//   errors      kMixedInput: that refusal; kUnsupported: a plate, and the frame
//               is neither of ITRF2014 nor of ITRF2020 (docs/frames.md);
//               kUsage: no such plate, or a motion without the coordinate's
//               epoch; kOutOfRange: a velocity above 1 m/year
//   warnings    frame_not_given, frame_unknown, epoch_not_given,
//               sigma_not_given, motion_left_out
//   threads     pure
Result<MovedKnown> move_known(const KnownCoordinate& known,
                              const KnownMotion& motion,
                              GnssTime observed);

}  // namespace stillpoint::solve
