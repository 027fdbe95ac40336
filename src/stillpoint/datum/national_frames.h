// National frames: the published parameter sets that lead from the ITRF to
// them, and the guess which of them a coordinate of unknown frame is in.
// docs/frames.md has the list for people.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "stillpoint/geo/coords.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint {

// Which way the printed rotations turn. The same transformation has rotations
// of opposite sign in the two conventions.
enum class RotationSense : std::uint8_t {
  kPositionVector,   // the IERS and EUREF
  kCoordinateFrame,  // Australia, the United States
};

// What a published set leads from and to.
struct ParameterSetHead {
  std::string_view from, to;  // "ITRF2014", "ETRF2000"
  int epsg = 0;               // code of the set in the EPSG dataset
  RotationSense sense = RotationSense::kPositionVector;
  double epoch_year = 2000;  // decimal year to which its values belong
};

// Translation, rotation and scale, or their rates per year.
struct Helmert {
  std::array<double, 3> t_mm{}, r_mas{};
  double d_ppb = 0;
};

// One published set of 14 parameters with the numbers as printed, so that a
// row can be held against its source by eye.
struct ParameterSet {
  ParameterSetHead head;
  Helmert value, per_year;
};

// All sets; one at most from a frame to another.
//
//   source   EPSG dataset v13.101 (IOGP), by the code of each set
std::span<const ParameterSet> parameter_sets();

// A position at `epoch` by one set, parameters taken at that epoch:
// X + T + D X + R x X.
//
//   accuracy  2e-8 m against the form that scales the rotated vector too (10
//             ppb of 2e-7 rad, the largest here); some 1e-9 m of rounding
//   source    IERS Conventions (2010), section 4.2.2
Ecef transformed(const ParameterSet& set, const Ecef& position, GnssTime epoch);

// A frame that agencies give coordinates in, by the name that people use.
struct NationalFrame {
  std::string_view name;    // "ETRF2000 (ETRS89)", "NAD83(2011)", "GDA2020"
  std::string_view key;     // in the parameter sets: "ETRF2000"
  std::string_view source;  // issuer and codes of the sets
  // Epoch that its coordinates are usually given at, decimal year, where
  // stations inside its area move in the frame; 0 where they hardly do.
  double reference_year = 0;
};

std::span<const NationalFrame> national_frames();

// The position of the same point in a national frame, at the same epoch.
//
//   itrf_name   as FrameRow::aligned_to: "ITRF2014", "ITRF2020", also
//               "ITRF2000", "ITRF2005", "ITRF2008"
//   frame_name  name or key of a national frame
//   returns     nothing where a name is not known; the area in which the frame
//               is used is not looked at
//   accuracy    of the published parameters, millimetres to centimetres; where
//               no direct set exists, by way of ITRF2020 and, from there,
//               ITRF2014, which adds nothing of note
std::optional<Ecef> in_national_frame(const Ecef& itrf_position,
                                      std::string_view itrf_name,
                                      GnssTime epoch,
                                      std::string_view frame_name);

struct FrameFit {
  // Name of the frame; two that have the same coordinates in the place are
  // joined: "NAD83(2011) or NAD83(CSRS)".
  std::string name;
  double distance_m = 0;  // from the claimed position to the frame's
};

// The national frame that explains a claimed position (of a file's header):
// one in use in the place, whose position of the point is the nearest to
// `claimed`. The frame's position is taken at `epoch` and, where stations move
// in the frame, at its reference epoch too. In a zone between two plates the
// velocity may be anything between theirs (ITRF2020 plate motion model).
//
//   max_distance_m  a fit is nearer than this and than a quarter of the
//   distance
//                   from `claimed` to `itrf_position`
//   returns         nothing where no frame fits, or the ITRF fits as well
//   not told apart  in Europe, ETRS89 and an ITRF coordinate at an epoch
//                   before about 1996; in Australia, GDA2020 and the ITRF at
//                   2020.0, which are the same there
std::optional<FrameFit> national_frame_that_fits(const Ecef& claimed,
                                                 const Ecef& itrf_position,
                                                 std::string_view itrf_name,
                                                 GnssTime epoch,
                                                 double max_distance_m = 0.3);

}  // namespace stillpoint
