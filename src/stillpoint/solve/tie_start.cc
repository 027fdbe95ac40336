// A first position from the differences of codes.
#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <map>

#include "stillpoint/math/robust.h"
#include "stillpoint/solve/tie_geometry.h"

namespace stillpoint::solve {
namespace {

constexpr std::size_t kMostEpochs = 40;
constexpr int kMostSteps = 12, kMostWeights = 20;
// After so many steps a long one is no way to go any more, but a gross error.
constexpr int kStepsToNear = 5;
constexpr double kNearM = 1;
constexpr double kFarM = 1000;  // from where residuals tell nothing
constexpr double kCodeM = 3;    // residuals beyond this count less
constexpr std::size_t kFewestRows = 12;

// A few epochs of the session, evenly, with the same arcs of memory.
TieSession sample_of(const TieSession& session) {
  TieSession out;
  out.groups = session.groups;
  out.interval_s = session.interval_s;
  const std::size_t step =
      std::max<std::size_t>(1, session.epochs.size() / kMostEpochs);
  for (std::size_t k = 0; k < session.epochs.size(); k += step) {
    TieEpoch epoch = session.epochs[k];
    const auto sights = session.sights_of(epoch);
    epoch.first = static_cast<std::uint32_t>(out.sights.size());
    for (const TieSight& s : sights) {
      const auto rows = session.rows_of(s);
      out.sights.push_back(s);
      out.sights.back().first = static_cast<std::uint32_t>(out.rows.size());
      out.rows.insert(out.rows.end(), rows.begin(), rows.end());
    }
    out.epochs.push_back(epoch);
  }
  return out;
}

struct CodeRow {
  Ecef to_satellite;
  double value_m = 0, weight = 1;
};

// Codes of one epoch and group, less their median.
void append_centred(std::vector<CodeRow>& group, std::vector<CodeRow>& all) {
  if (group.size() < 2) {
    group.clear();
    return;
  }
  double weights = 0, value = 0;
  Ecef unit;
  for (const CodeRow& r : group) {
    weights += r.weight;
    value += r.weight * r.value_m;
    unit = unit + r.weight * r.to_satellite;
  }
  for (CodeRow& r : group) {
    r.value_m -= value / weights;
    r.to_satellite = r.to_satellite - 1 / weights * unit;
    all.push_back(r);
  }
  group.clear();
}

std::vector<CodeRow> code_rows(const TieSession& session,
                               const std::optional<Ecef>& so_far_m) {
  std::vector<CodeRow> all;
  std::map<std::uint16_t, std::vector<CodeRow>> groups;
  std::vector<double> values;
  for (const TieEpoch& epoch : session.epochs) {
    for (const TieSight& s : session.sights_of(epoch)) {
      if (!s.modelled) {
        continue;
      }
      for (const TieRow& r : session.rows_of(s)) {
        if (const double code_m = r.raw_code_m(); is_present(code_m)) {
          const double sine =
              std::max(0.1, std::sin(static_cast<double>(s.elevation_rad)));
          groups[r.group].push_back({s.to_satellite, code_m, sine * sine});
        }
      }
    }
    for (auto& [group, rows] : groups) {
      // Those far from the group's median, at the position so far, count less.
      values.clear();
      const Ecef dx_m = so_far_m.value_or(Ecef{});
      for (const CodeRow& r : rows) {
        values.push_back(r.value_m + dot(r.to_satellite, dx_m));
      }
      if (so_far_m && !values.empty()) {
        auto sorted = values;
        const double middle = math::median_in_place(sorted);
        for (std::size_t i = 0; i < rows.size(); ++i) {
          const double off = std::abs(values[i] - middle) / kCodeM;
          rows[i].weight /= 1 + off * off;
        }
      }
      append_centred(rows, all);
    }
  }
  return all;
}

// The step from the reference that the codes ask for [m].
//
//   so_far   a step that is near, by which gross errors are told; nothing: all
//            count alike
std::optional<Ecef> code_step(const TieSession& session,
                              const std::optional<Ecef>& so_far) {
  const std::vector<CodeRow> rows = code_rows(session, so_far);
  if (rows.size() < kFewestRows) {
    return std::nullopt;
  }
  Eigen::Matrix3d normals = Eigen::Matrix3d::Zero();
  Eigen::Vector3d right = Eigen::Vector3d::Zero();
  for (const CodeRow& r : rows) {
    const Eigen::Vector3d a(
        -r.to_satellite.x_m, -r.to_satellite.y_m, -r.to_satellite.z_m);
    normals += r.weight * a * a.transpose();
    right += r.weight * a * r.value_m;
  }
  const Eigen::FullPivLU<Eigen::Matrix3d> lu(normals);
  if (!lu.isInvertible()) {
    return std::nullopt;
  }
  const Eigen::Vector3d x = lu.solve(right);
  return Ecef{x.x(), x.y(), x.z()};
}

// A long step along the tangent ends above or below the ground, where there is
// no air to compute: back to the height of the other end.
Ecef on_the_ground(const Ecef& p, const Ecef& other_m) {
  constexpr double kLowestM = -400, kHighestM = 8900;
  Geodetic place = to_geodetic(p);
  if (place.height_m > kLowestM && place.height_m < kHighestM) {
    return p;
  }
  place.height_m = to_geodetic(other_m).height_m;
  return to_ecef(place);
}

}  // namespace

bool start_tie(const OrbitSource& orbits,
               const TieOptions& options,
               TieSession& session) {
  TieSession sample = sample_of(session);
  sample.reference_m = options.there_marker_m;
  for (int step = 0; step < kMostSteps; ++step) {
    Counts ignored;
    compute_tie(orbits, options, sample, ignored);
    auto dx = code_step(sample, std::nullopt);
    if (!dx) {
      return false;
    }
    // With the weights that its residuals give, again and again: a gross error
    // draws the first of them away.
    const bool told = norm(*dx) < kFarM || step >= kStepsToNear;
    for (int again = 0; told && again < kMostWeights; ++again) {
      const auto better = code_step(sample, dx);
      const bool settled = !better || norm(*better - *dx) < kNearM;
      dx = better ? better : dx;
      if (settled) {
        break;
      }
    }
    sample.reference_m =
        on_the_ground(sample.reference_m + *dx, options.there_marker_m);
    if (norm(*dx) < kNearM) {
      session.reference_m = sample.reference_m;
      return true;
    }
  }
  return false;
}

}  // namespace stillpoint::solve
