#include "stillpoint/report/candidates_warn.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string_view>

#include "stillpoint/report/locate_text_parts.h"
#include "stillpoint/report/record_points.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::report {
namespace {

constexpr double kBroadcastSigmaM = 0.05;  // as in itrf_carry.h
// Below, no rover notices.
constexpr double kPlateMotionM = 0.010;
// Longer data are worth a change where the sigma is smaller by this factor.
constexpr double kSurerBy = 1.5;
// Better products are, unless the record is less sure all the same.
constexpr double kNotSurerBy = 1.2;

// 0: the class does not say.
int product_rank(std::string_view products) {
  if (products == "final") {
    return 4;
  }
  if (products == "rapid") {
    return 3;
  }
  if (products == "ultra") {
    return 2;
  }
  return products == "broadcast" ? 1 : 0;
}

bool stands_on_products(const PositionRecord& record) {
  return record.method.starts_with("ppp") || record.method == "code";
}

bool better_products(const PositionRecord& a, const PositionRecord& b) {
  if (!stands_on_products(a) || !stands_on_products(b)) {
    return false;
  }
  if (b.products == "broadcast" && a.products == "precise") {
    return true;
  }
  const int rank_a = product_rank(a.products);
  const int rank_b = product_rank(b.products);
  return rank_a > 0 && rank_b > 0 && rank_a > rank_b;
}

double length_m(const Enu& v) {
  return std::hypot(v.e_m, v.n_m, v.u_m);
}

void warn_disagreement(CandidateTable& table, const CandidateRow& row) {
  const double apart_m = length_m(*row.difference_m);
  table.warnings.push_back(
      {"candidate_disagrees",
       fmt::format("record {} lies {} from record {}, the {} one: more than "
                   "both uncertainties allow (test {:.1f}, limit {:.1f}). One "
                   "of the two is wrong, or less sure than it says",
                   row.stored.id,
                   fine_length(apart_m),
                   *table.reference,
                   table.adopted ? "adopted" : "best",
                   *row.test,
                   table.limit),
       apart_m});
}

void warn_better(CandidateTable& table,
                 const CandidateRow& row,
                 const CandidateRow& adopted) {
  if (!row.position || !adopted.position || &row == &adopted ||
      row.stored.record.origin == RecordOrigin::kByHand) {
    return;
  }
  const double sigma_m = sigma_3d_m(*row.position);
  const double adopted_m = sigma_3d_m(*adopted.position);
  const std::optional<double> apart_m =
      row.difference_m ? std::optional(length_m(*row.difference_m))
                       : std::nullopt;
  if (better_products(row.stored.record, adopted.stored.record) &&
      sigma_m <= kNotSurerBy * adopted_m) {
    table.warnings.push_back(
        {"better_product",
         fmt::format("record {} stands on {} orbits and clocks, the adopted "
                     "one, {}, on {}",
                     row.stored.id,
                     row.stored.record.products,
                     adopted.stored.id,
                     adopted.stored.record.products),
         apart_m});
  } else if (row.span_h.value_or(0) > adopted.span_h.value_or(0) &&
             sigma_m * kSurerBy <= adopted_m) {
    table.warnings.push_back(
        {"better_product",
         fmt::format("record {} stands on {:.1f} hours of data and is good to "
                     "{}; the adopted one, {}, to {}",
                     row.stored.id,
                     *row.span_h,
                     fine_length(sigma_m),
                     adopted.stored.id,
                     fine_length(adopted_m)),
         apart_m});
  }
}

void warn_motion(std::vector<solve::Warning>& into,
                 const StoredRecord& stored,
                 const std::string& plate,
                 const std::optional<GnssTime>& now) {
  if (!now) {
    return;
  }
  const FramedPosition& p = stored.record.position;
  const auto moved_m = plate_motion_since(p, *now, plate);
  if (moved_m && *moved_m > kPlateMotionM) {
    into.push_back(
        {"plate_motion",
         fmt::format("the plate has carried the station {} since {}, the epoch "
                     "of record {}; a new record, or the same one at a new "
                     "epoch, would follow it",
                     fine_length(*moved_m),
                     format_utc(p.epoch).substr(0, 10),
                     stored.id),
         *moved_m});
  }
}

}  // namespace

void warn_of_candidates(CandidateTable& table,
                        const CandidateQuestion& question,
                        bool broadcast) {
  for (const CandidateRow& row : table.rows) {
    if (row.agrees == false) {
      warn_disagreement(table, row);
    }
  }
  const auto adopted =
      std::find_if(table.rows.begin(), table.rows.end(), [](const auto& row) {
        return row.adopted;
      });
  if (adopted != table.rows.end()) {
    for (const CandidateRow& row : table.rows) {
      warn_better(table, row, *adopted);
    }
    warn_motion(table.warnings, adopted->stored, question.plate, question.now);
  }
  if (broadcast) {
    table.warnings.push_back(
        {"frame_broadcast",
         "WGS84, the frame of broadcast orbits, is taken for ITRF2020 here; "
         "they agree to centimetres, and 0.05 m are added to the uncertainty",
         kBroadcastSigmaM});
  }
}

std::vector<solve::Warning> warnings_of_adopted(const StoredRecord& stored,
                                                const std::string& plate,
                                                std::optional<GnssTime> now) {
  std::vector<solve::Warning> out;
  const double sigma_m = sigma_3d_m(stored.record.position);
  if (stored.record.method == "code") {
    out.push_back(
        {"code_position",
         fmt::format("record {} comes from code ranges and is good to {:.2f} m "
                     "only: all that rovers find is off by as much. Hours of "
                     "carrier phases, or a tie, find the same to millimetres",
                     stored.id,
                     sigma_m),
         sigma_m});
  }
  const auto member = family_member(stored.record.position.frame.name);
  if (member && member->broadcast) {
    out.push_back(
        {"frame_broadcast",
         "the record is in WGS84 as the broadcast orbits realise it, within "
         "some decimetres of the ITRF; precise orbits name a frame",
         kBroadcastSigmaM});
  }
  warn_motion(out, stored, plate, now);
  return out;
}

}  // namespace stillpoint::report
