// Position records side by side: each brought to one frame and epoch, its
// difference to the one that rovers get, and whether the two can be the same
// point. docs/candidates.md has the rules for people.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/datum/itrf_carry.h"
#include "stillpoint/geo/coords.h"
#include "stillpoint/solve/solution.h"
#include "stillpoint/store/position_records.h"

namespace stillpoint::report {

struct CandidateQuestion {
  std::optional<std::int64_t> adopted;  // the record that holds
  // Of the table; nothing: those of the adopted record, else of the best.
  std::optional<FrameId> frame;
  std::optional<GnssTime> epoch;
  std::string plate;            // empty: that of the place, where known
  std::optional<GnssTime> now;  // for how far the adopted one has moved
};

// A record as it compares. Differences are markers, this one minus the
// reference.
struct CandidateRow {
  StoredRecord stored;  // without its document
  bool adopted = false, best = false;
  std::optional<double> span_h;  // of the data
  // Marker in the table's frame and epoch; nothing where it cannot be brought
  // there.
  std::optional<FramedPosition> position;
  std::string moved_by = "none";
  std::array<double, 3> sigma_enu_m{};  // there, else of the record itself
  std::optional<Enu> difference_m;
  std::optional<std::array<double, 3>> difference_sigma_enu_m;
  std::optional<double> test;  // chi-square of the difference, 3 dof
  std::optional<bool> agrees;
  // "reference", "agrees", "disagrees"; "frame_unknown", "plate_unknown" of
  // itself, or with "reference_" before it of what it is compared with;
  // "no_reference".
  std::string why;
};

struct CandidateTable {
  FrameId frame;
  GnssTime epoch;
  std::optional<std::int64_t> adopted, best;
  // What the others are compared with: the adopted one, else the best, else
  // the surest that can be compared.
  std::optional<std::int64_t> reference;
  double limit = 0;                // of the test
  std::vector<CandidateRow> rows;  // newest first, as given
  std::vector<solve::Warning> warnings;
};

// Compares.
//
//   records  newest first, as PositionRecords::list() gives them
//   test     difference over the sum of both covariances, three degrees of
//            freedom, at 99.9 %. Records of the same data are correlated and
//            differ by less than it expects: it then lets pass more than it
//            should, and never cries wolf
//   best     the smallest sigma in space of the records in a known frame, the
//            surer method where two are equal; never one typed by hand
//   warnings candidate_disagrees, better_product, plate_motion (beyond 10 mm),
//            frame_broadcast; each with size_m
//   threads  pure
CandidateTable compare_records(const std::vector<StoredRecord>& records,
                               const CandidateQuestion& question);

// The largest distance of a record that disagrees with the reference and is at
// least as sure as it; nothing where there is none. For the trust verdict.
std::optional<double> candidate_apart_m(const CandidateTable& table);

}  // namespace stillpoint::report
