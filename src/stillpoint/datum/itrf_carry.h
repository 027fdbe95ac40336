// A coordinate of the ITRF's younger family, brought to another member of the
// family at another epoch, with its uncertainty: what it takes to compare
// positions of different days. docs/frames.md has the rules for people.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "stillpoint/core/result.h"
#include "stillpoint/datum/plate_motion.h"
#include "stillpoint/geo/coords.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint {

// The realisation that a frame is aligned to, of the two that can be brought
// into each other.
struct FamilyMember {
  PlateModel realisation = PlateModel::kItrf2020;
  // WGS84 as the satellites' own orbits realise it, taken for ITRF2020.
  bool broadcast = false;
};

// By any label of docs/frames.md. Nothing for older realisations, national
// frames and labels that are not known.
std::optional<FamilyMember> family_member(std::string_view frame_label);

// The plate of a place where that is not a question: Eurasia between 37.5 and
// 72 degrees north, 12 degrees west and 40 degrees east, but not south of 42
// degrees east of 19 degrees, where the Aegean and Anatolia move by centimetres
// a year. Nothing elsewhere: somebody has to name the plate.
//
//   source   a box drawn by hand; common practice, no source
std::optional<Plate> plate_of_place(PlateModel model, const Ecef& at);

// Where a position is wanted.
struct FrameGoal {
  FrameId frame;
  GnssTime epoch;
  std::string plate;  // its name; empty: that of the place, where known
};

enum class CarryRefusal : std::uint8_t {
  kFrameUnknown,  // one of the frames is not of the family
  kPlateUnknown,  // it has to be moved, and nobody said by which plate
};
const char* carry_refusal_name(CarryRefusal refusal);  // "frame_unknown", …

struct CarriedPosition {
  FramedPosition position;
  std::string moved_by = "none";  // "plate model ITRF2020 EURA"
  double moved_m = 0;             // by the plate
  // WGS84 was taken for ITRF2020, or the reverse.
  bool broadcast = false;
};

// Changes the frame at the position's own epoch, then moves the point with its
// plate within the new frame. Where both frames have the same name nothing is
// changed; where the epochs are less than 4.6 days apart no plate is needed (1
// mm at 80 mm/year, more than the fastest plate of the models).
//
//   covariance  kept; the plate adds 0.3 mm/year to each component (our
//               judgement of places inside a plate), motion that is left out
//               80 mm/year, WGS84 taken for ITRF2020 or the reverse 0.05 m
//               (from memory: the broadcast frame agrees with the ITRF at the
//               level of centimetres)
//   error       why it cannot be done; a plate that the goal's model does not
//               have is one that is not known
//   source      EPSG:9991, values in national_frames.cc; plate_motion.h
//   threads     pure
tl::expected<CarriedPosition, CarryRefusal> carry(
    const FramedPosition& position, const FrameGoal& goal);

// How far the plate has carried the point from the position's epoch to `now`
// (or from now to then).
//
//   plate    name; empty: that of the place
//   returns  [m]; nothing where frame or plate are not known
std::optional<double> plate_motion_since(const FramedPosition& position,
                                         GnssTime now,
                                         std::string_view plate = {});

}  // namespace stillpoint
