#include "stillpoint/report/candidates_compare.h"

#include <algorithm>
#include <cmath>

#include "stillpoint/report/candidates_warn.h"
#include "stillpoint/report/record_points.h"
#include "stillpoint/solve/chi_square.h"

namespace stillpoint::report {
namespace {

// One comparison in a thousand of records that are right fails.
constexpr double kTail = 0.001;
constexpr int kDof = 3;
constexpr double kBroadcastSigmaM = 0.05;  // as in itrf_carry.h
constexpr double kSameSigmaM = 1e-6;

int method_rank(std::string_view method) {
  constexpr std::array<std::string_view, 6> kSurest{
      "ppp-fixed", "tie-fixed", "ppp-float", "tie-float", "by-hand", "code"};
  const auto* const found = std::find(kSurest.begin(), kSurest.end(), method);
  return static_cast<int>(found - kSurest.begin());
}

bool by_hand(const StoredRecord& stored) {
  return stored.record.origin == RecordOrigin::kByHand ||
         stored.record.method == "by-hand";
}

// Of the record in its own frame; what is not of a known frame has none.
std::optional<double> own_sigma_m(const StoredRecord& stored) {
  const FramedPosition& p = stored.record.position;
  const auto member = family_member(p.frame.name);
  if (!member) {
    return std::nullopt;
  }
  return std::hypot(sigma_3d_m(p), member->broadcast ? kBroadcastSigmaM : 0);
}

// The earlier in the list, which is the newer, where nothing tells them apart.
const StoredRecord* surest(const std::vector<StoredRecord>& records,
                           bool typed_too) {
  const StoredRecord* best = nullptr;
  double best_m = 0;
  for (const StoredRecord& stored : records) {
    const auto sigma_m = own_sigma_m(stored);
    if (!sigma_m || (by_hand(stored) && !typed_too)) {
      continue;
    }
    const bool as_sure =
        best != nullptr && std::abs(*sigma_m - best_m) <= kSameSigmaM;
    const bool better =
        best == nullptr || (as_sure ? method_rank(stored.record.method) <
                                          method_rank(best->record.method)
                                    : *sigma_m < best_m);
    if (better) {
      best = &stored;
      best_m = *sigma_m;
    }
  }
  return best;
}

const StoredRecord* find_record(const std::vector<StoredRecord>& records,
                                const std::optional<std::int64_t>& id) {
  const auto found =
      std::find_if(records.begin(), records.end(), [&](const auto& stored) {
        return id && stored.id == *id;
      });
  return found == records.end() ? nullptr : &*found;
}

Cov3 sum(const Cov3& a, const Cov3& b) {
  Cov3 out{};
  for (std::size_t i = 0; i < out.size(); ++i) {
    out.at(i) = a.at(i) + b.at(i);
  }
  return out;
}

// d^T C^-1 d by the Cholesky factor of C; nothing where C is not positive.
std::optional<double> normalised_square(const Cov3& c, const Ecef& d) {
  const double l11_2 = c[0];
  if (!(l11_2 > 0)) {
    return std::nullopt;
  }
  const double l11 = std::sqrt(l11_2);
  const double l21 = c[3] / l11;
  const double l31 = c[6] / l11;
  const double l22_2 = c[4] - l21 * l21;
  if (!(l22_2 > 0)) {
    return std::nullopt;
  }
  const double l22 = std::sqrt(l22_2);
  const double l32 = (c[7] - l31 * l21) / l22;
  const double l33_2 = c[8] - l31 * l31 - l32 * l32;
  if (!(l33_2 > 0)) {
    return std::nullopt;
  }
  const double y1 = d.x_m / l11;
  const double y2 = (d.y_m - l21 * y1) / l22;
  const double y3 = (d.z_m - l31 * y1 - l32 * y2) / std::sqrt(l33_2);
  return y1 * y1 + y2 * y2 + y3 * y3;
}

using Carried = tl::expected<CarriedPosition, CarryRefusal>;

void set_place(CandidateRow& row, const Carried& carried) {
  const FramedPosition& shown =
      carried ? carried->position : row.stored.record.position;
  row.sigma_enu_m = sigma_enu_m(shown);
  if (carried) {
    row.position = carried->position;
    row.moved_by = carried->moved_by;
  }
}

// `reference` is where the other one is, in the same frame and epoch.
void set_difference(CandidateRow& row,
                    const FramedPosition& reference,
                    double limit) {
  const Mat3 turn = enu_R_ecef(to_geodetic(reference.ecef));
  const Ecef apart = row.position->ecef - reference.ecef;
  const Cov3 both = sum(row.position->covariance_m2, reference.covariance_m2);
  const Cov3 enu = covariance_to_enu(turn, both);
  row.difference_m = rotate(turn, apart);
  row.difference_sigma_enu_m = {
      std::sqrt(enu[0]), std::sqrt(enu[4]), std::sqrt(enu[8])};
  row.test = normalised_square(both, apart);
  row.why = "no_reference";  // of covariances that are none
  if (row.test) {
    row.agrees = *row.test <= limit;
    row.why = *row.agrees ? "agrees" : "disagrees";
  }
}

CandidateRow row_of(const StoredRecord& stored, const CandidateTable& table) {
  CandidateRow row;
  row.stored = stored;
  row.stored.record.document.clear();
  row.adopted = table.adopted == stored.id;
  row.best = table.best == stored.id;
  if (stored.record.first && stored.record.end) {
    row.span_h = (*stored.record.end - *stored.record.first).s / 3600;
  }
  return row;
}

}  // namespace

CandidateTable compare_records(const std::vector<StoredRecord>& records,
                               const CandidateQuestion& question) {
  CandidateTable table;
  const StoredRecord* adopted = find_record(records, question.adopted);
  const StoredRecord* best = surest(records, false);
  const StoredRecord* reference = adopted != nullptr ? adopted
                                  : best != nullptr  ? best
                                                     : surest(records, true);
  const auto id = [](const StoredRecord* stored) {
    return stored != nullptr ? std::optional(stored->id) : std::nullopt;
  };
  table.adopted = id(adopted);
  table.best = id(best);
  table.reference = id(reference);
  table.limit = solve::chi_square_limit(kTail, kDof);
  if (reference == nullptr && !records.empty()) {
    reference = &records.front();  // for the table's frame alone
  }
  if (reference != nullptr) {
    table.frame = reference->record.position.frame;
    table.epoch = reference->record.position.epoch;
  }
  table.frame = question.frame.value_or(table.frame);
  table.epoch = question.epoch.value_or(table.epoch);

  const FrameGoal goal{table.frame, table.epoch, question.plate};
  const Carried other =
      reference != nullptr
          ? carry(marker_of(reference->record), goal)
          : Carried(tl::unexpected(CarryRefusal::kFrameUnknown));
  bool broadcast = false;
  table.rows.reserve(records.size());
  for (const StoredRecord& stored : records) {
    CandidateRow row = row_of(stored, table);
    const Carried carried = carry(marker_of(stored.record), goal);
    set_place(row, carried);
    broadcast = broadcast || (carried && carried->broadcast);
    if (!carried) {
      row.why = carry_refusal_name(carried.error());
    } else if (!table.reference) {
      row.why = "no_reference";
    } else if (!other) {
      row.why = std::string("reference_") + carry_refusal_name(other.error());
    } else if (stored.id == *table.reference) {
      row.difference_m = Enu{};
      row.why = "reference";
    } else {
      set_difference(row, other->position, table.limit);
    }
    table.rows.push_back(std::move(row));
  }
  warn_of_candidates(table, question, broadcast);
  return table;
}

std::optional<double> candidate_apart_m(const CandidateTable& table) {
  std::optional<double> own_m;
  for (const CandidateRow& row : table.rows) {
    if (table.reference == row.stored.id && row.position) {
      own_m = sigma_3d_m(*row.position);
    }
  }
  std::optional<double> apart_m;
  for (const CandidateRow& row : table.rows) {
    if (row.agrees == false && own_m && sigma_3d_m(*row.position) <= *own_m) {
      const Enu& d = *row.difference_m;
      apart_m = std::max(apart_m.value_or(0), std::hypot(d.e_m, d.n_m, d.u_m));
    }
  }
  return apart_m;
}

}  // namespace stillpoint::report
