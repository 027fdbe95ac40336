#include "stillpoint/solve/ppp_adjust.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace stillpoint::solve {
namespace {

using math::RowEntry;
using math::UnknownId;

// Slow error of an arc beside its ambiguity: what orbits, clocks, patterns and
// reflections are wrong by for hours. Without it an hour of phases claims to
// know the height better than it does. Its size and memory were chosen on the
// sub-sessions of three stations (docs/sigma.md).
constexpr double kSlowM = 0.003, kSlowS = 10'000, kSlowStepS = 299;

// It grows with the root of the cosecant of the elevation.
double slow_factor(const PppRow& r) {
  return 1 / std::sqrt(std::max(
                 0.05, std::sin(static_cast<double>(r.elevation_rad))));
}

// So far may position and ambiguities be off: weak enough not to matter.
constexpr double kPositionPriorM = 100, kAmbiguityPriorM = 100;
// The air moves at steps of at least this [s].
constexpr double kAirStepS = 29;
constexpr double kMilestoneS = 3600;

constexpr UnknownId kNoUnknown = std::numeric_limits<UnknownId>::max();

double square(double v) {
  return v * v;
}

}  // namespace

std::array<double, 2> gradient_factors(const PppRow& row) {
  const double sine = std::sin(static_cast<double>(row.elevation_rad));
  const double cosine = std::cos(static_cast<double>(row.elevation_rad));
  const double factor = cosine / (sine * sine + 0.0032 * cosine);
  const double azimuth = row.azimuth_rad;
  return {factor * std::cos(azimuth), factor * std::sin(azimuth)};
}

void PppAdjuster::step_air(std::size_t k) {
  const GnssTime t = session_.epochs[k].time;
  const bool gradients = !without_.has(Term::kGradients);
  if (k == 0) {
    for (int i = 0; i < 3; ++i) {
      air_[i] = normals_.add_unknown();
      const double prior = i == 0      ? kZenithPriorM
                           : gradients ? kGradientPriorM
                                       : 1e-9;
      normals_.add_prior(air_[i], 0, 1 / square(prior));
    }
    air_time_ = t;
  } else if (const double dt_s = (t - air_time_).s; dt_s >= kAirStepS) {
    for (int i = 0; i < 3; ++i) {
      if (i > 0 && !gradients) {
        continue;
      }
      const double walk = i == 0 ? kZenithWalkM : kGradientWalkM;
      const UnknownId next = normals_.add_unknown();
      normals_.add_step(air_[i], next, square(walk) * dt_s / 3600);
      normals_.eliminate(air_[i]);
      air_[i] = next;
    }
    air_time_ = t;
  }
  for (int i = 0; i < 3; ++i) {
    unknowns_[k].air[i] = air_[i];
  }
}

void PppAdjuster::step_slow(Slow& slow, GnssTime t) {
  const double dt_s = (t - slow.time).s;
  if (dt_s < kSlowStepS) {
    return;
  }
  const double factor = std::exp(-dt_s / kSlowS);
  const UnknownId next = normals_.add_unknown();
  normals_.add_step(
      slow.id, next, square(kSlowM) * (1 - square(factor)), factor);
  normals_.eliminate(slow.id);
  slow = {next, t};
}

void PppAdjuster::add_rows(std::size_t k,
                           const PppNoise& noise,
                           PppEstimate& out) {
  EpochUnknowns& u = unknowns_[k];
  for (const PppRow& r : session_.rows_of(session_.epochs[k])) {
    if (!r.modelled()) {
      continue;
    }
    if (!r.phase_used() && !r.code_used()) {
      row_slow_[row_index(r)] =
          has_ambiguity_[r.arc] ? slow_[r.arc].id : kNoUnknown;
      continue;
    }
    const auto system = static_cast<std::size_t>(r.sat.system);
    if (!u.has_clock[system]) {
      u.has_clock[system] = true;
      u.clock[system] = normals_.add_unknown();
    }
    const auto gradient = gradient_factors(r);
    const double wet = r.wet_mapping;
    RowEntry entries[10] = {{position_[0], -r.to_satellite.x_m},
                            {position_[1], -r.to_satellite.y_m},
                            {position_[2], -r.to_satellite.z_m},
                            {air_[0], wet},
                            {air_[1], gradient[0]},
                            {air_[2], gradient[1]},
                            {mapping_, r.mapping_doubt_m},
                            {u.clock[system], 1},
                            {0, 1},
                            {0, slow_factor(r)}};
    if (r.code_used()) {
      normals_.add_row(
          std::span(entries, 8), r.code_m, code_weight(r, noise, without_));
      ++out.code_rows;
    }
    if (r.phase_used()) {
      // An arc that was thought to have ended goes on as a new one.
      if (!has_ambiguity_[r.arc] || !normals_.is_active(ambiguity_[r.arc])) {
        has_ambiguity_[r.arc] = true;
        ambiguity_[r.arc] = normals_.add_unknown();
        normals_.add_prior(ambiguity_[r.arc], 0, 1 / square(kAmbiguityPriorM));
        slow_[r.arc] = {normals_.add_unknown(), session_.epochs[k].time};
        normals_.add_prior(slow_[r.arc].id, 0, 1 / square(kSlowM));
      }
      step_slow(slow_[r.arc], session_.epochs[k].time);
      row_slow_[row_index(r)] = slow_[r.arc].id;
      entries[9].id = slow_[r.arc].id;
      entries[8].id = ambiguity_[r.arc];
      normals_.add_row(entries, r.phase_m, phase_weight(r, noise, without_));
      ++out.phase_rows;
    } else if (has_ambiguity_[r.arc]) {
      row_slow_[row_index(r)] = slow_[r.arc].id;
    }
  }
  for (std::size_t s = 0; s < kSystemCount; ++s) {
    if (u.has_clock[s]) {
      normals_.eliminate(u.clock[s]);
    }
  }
}

// Arcs whose last row this epoch has: nothing more will be said about them.
void PppAdjuster::end_arcs(std::size_t k, const std::vector<bool>& keep) {
  const GnssTime t = session_.epochs[k].time;
  for (const PppRow& r : session_.rows_of(session_.epochs[k])) {
    if (r.modelled() && has_ambiguity_[r.arc] &&
        session_.arcs[r.arc].last == t &&
        normals_.is_active(ambiguity_[r.arc])) {
      normals_.eliminate(slow_[r.arc].id);
      if (keep.empty() || !keep[r.arc]) {
        normals_.eliminate(ambiguity_[r.arc]);
      }
    }
  }
}

void PppAdjuster::note_milestone(std::size_t k, PppEstimate& out) {
  const UnknownId ids[] = {position_[0], position_[1], position_[2], air_[0]};
  Eigen::VectorXd values;
  Eigen::MatrixXd covariance;
  if (!normals_.solve(ids, values, covariance)) {
    return;
  }
  out.zenith_sigma_m[k] = std::sqrt(covariance(3, 3));
  const double since_s =
      (session_.epochs[k].time - session_.epochs.front().time).s;
  const double before_s =
      k == 0 ? 0
             : (session_.epochs[k - 1].time - session_.epochs.front().time).s;
  if (std::floor(since_s / kMilestoneS) > std::floor(before_s / kMilestoneS) ||
      k + 1 == session_.epochs.size()) {
    out.milestones.push_back(
        {k, values.head(3), covariance.topLeftCorner(3, 3)});
  }
}

double PppAdjuster::common_m(const PppRow& r,
                             const EpochUnknowns& u,
                             const std::vector<double>& values) const {
  const auto gradient = gradient_factors(r);
  const double wet = r.wet_mapping;
  return -r.to_satellite.x_m * values[position_[0]] -
         r.to_satellite.y_m * values[position_[1]] -
         r.to_satellite.z_m * values[position_[2]] + wet * values[u.air[0]] +
         gradient[0] * values[u.air[1]] + gradient[1] * values[u.air[2]] +
         r.mapping_doubt_m * values[mapping_] +
         values[u.clock[static_cast<std::size_t>(r.sat.system)]];
}

void PppAdjuster::fill_residuals(const std::vector<double>& values) {
  phase_with_slow_m_.assign(session_.rows.size(),
                            std::numeric_limits<float>::quiet_NaN());
  for (std::size_t k = 0; k < session_.epochs.size(); ++k) {
    const EpochUnknowns& u = unknowns_[k];
    for (PppRow& r : session_.rows_of(session_.epochs[k])) {
      const auto system = static_cast<std::size_t>(r.sat.system);
      if (!r.modelled() || !u.has_clock[system]) {
        r.code_residual_m = r.phase_residual_m =
            std::numeric_limits<float>::quiet_NaN();
        continue;
      }
      const double common = common_m(r, u, values);
      r.code_residual_m = static_cast<float>(r.code_m - common);
      const UnknownId slow = row_slow_[row_index(r)];
      if (slow == kNoUnknown) {
        r.phase_residual_m = std::numeric_limits<float>::quiet_NaN();
        continue;
      }
      const double left_m = r.phase_m - common - values[ambiguity_[r.arc]];
      phase_with_slow_m_[row_index(r)] = static_cast<float>(left_m);
      r.phase_residual_m =
          static_cast<float>(left_m - slow_factor(r) * values[slow]);
    }
  }
}

bool PppAdjuster::ambiguities(std::span<const std::uint32_t> arcs,
                              Eigen::VectorXd& values_m,
                              Eigen::MatrixXd& covariance_m2) const {
  std::vector<UnknownId> ids;
  ids.reserve(arcs.size());
  for (const std::uint32_t arc : arcs) {
    ids.push_back(ambiguity_[arc]);
  }
  return normals_.solve(ids, values_m, covariance_m2);
}

void PppAdjuster::constrain(std::span<const ArcTerm> terms,
                            double value_m,
                            double weight) {
  std::vector<RowEntry> entries;
  entries.reserve(terms.size());
  for (const ArcTerm& term : terms) {
    entries.push_back({ambiguity_[term.arc], term.coefficient});
  }
  normals_.add_row(entries, value_m, weight);
}

bool PppAdjuster::refresh(PppEstimate& out) {
  Eigen::VectorXd position;
  Eigen::MatrixXd formal;
  if (!normals_.solve(position_, position, formal)) {
    return false;
  }
  const std::vector<double> values = normals_.all_values();
  fill_residuals(values);
  out.dx_m = position;
  out.formal_m2 = formal;
  out.air_m.resize(session_.epochs.size());
  for (std::size_t k = 0; k < session_.epochs.size(); ++k) {
    for (std::size_t i = 0; i < 3; ++i) {
      out.air_m[k][i] = values[unknowns_[k].air[i]];
    }
  }
  out.ambiguity_m.assign(session_.arcs.size(), 0);
  for (std::size_t a = 0; a < session_.arcs.size(); ++a) {
    if (has_ambiguity_[a]) {
      out.ambiguity_m[a] = values[ambiguity_[a]];
    }
  }
  if (!out.milestones.empty()) {
    PppMilestone& last = out.milestones.back();
    if (last.epoch + 1 == session_.epochs.size()) {
      last.dx_m = position;
      last.formal_m2 = formal;
    }
  }
  return true;
}

std::optional<PppEstimate> PppAdjuster::run(const PppNoise& noise,
                                            bool milestones,
                                            const std::vector<bool>& keep) {
  PppEstimate out;
  normals_.clear();
  unknowns_.assign(session_.epochs.size(), {});
  ambiguity_.assign(session_.arcs.size(), 0);
  slow_.assign(session_.arcs.size(), {});
  row_slow_.assign(session_.rows.size(), kNoUnknown);
  has_ambiguity_.assign(session_.arcs.size(), false);
  out.zenith_sigma_m.assign(session_.epochs.size(),
                            std::numeric_limits<double>::quiet_NaN());
  for (UnknownId& id : position_) {
    id = normals_.add_unknown();
    normals_.add_prior(id, 0, 1 / square(kPositionPriorM));
  }
  mapping_ = normals_.add_unknown();
  normals_.add_prior(mapping_, 0, 1);
  constexpr std::size_t kZenithEvery = 10;
  for (std::size_t k = 0; k < session_.epochs.size(); ++k) {
    step_air(k);
    add_rows(k, noise, out);
    end_arcs(k, keep);
    if (milestones &&
        (k % kZenithEvery == 0 || k + 1 == session_.epochs.size() ||
         std::fmod((session_.epochs[k].time - session_.epochs.front().time).s,
                   kMilestoneS) < session_.interval_s)) {
      note_milestone(k, out);
    }
  }
  if (!refresh(out)) {
    return std::nullopt;
  }
  return out;
}

std::vector<PppAdjuster::Influence> PppAdjuster::influences(
    const PppNoise& noise) const {
  std::vector<Influence> out(session_.rows.size());
  for (int axis = 0; axis < 3; ++axis) {
    const std::vector<double> column = normals_.inverse_column(position_[axis]);
    if (column.empty()) {
      return {};
    }
    for (std::size_t k = 0; k < session_.epochs.size(); ++k) {
      const EpochUnknowns& u = unknowns_[k];
      const PppEpoch& epoch = session_.epochs[k];
      for (std::uint32_t i = epoch.first; i < epoch.first + epoch.count; ++i) {
        const PppRow& r = session_.rows[i];
        const auto system = static_cast<std::size_t>(r.sat.system);
        if (!r.modelled() || !u.has_clock[system]) {
          continue;
        }
        const double common = common_m(r, u, column);
        if (r.code_used()) {
          out[i].code(axis) = common * code_weight(r, noise, without_);
        }
        if (r.phase_used()) {
          out[i].phase(axis) = (common + column[ambiguity_[r.arc]] +
                                slow_factor(r) * column[row_slow_[i]]) *
                               phase_weight(r, noise, without_);
        }
      }
    }
  }
  return out;
}

}  // namespace stillpoint::solve
