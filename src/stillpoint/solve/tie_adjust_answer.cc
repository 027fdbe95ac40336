// What a tie's adjustment answers, after its pass over the rows.
#include <limits>

#include "stillpoint/solve/tie_adjust.h"

namespace stillpoint::solve {
namespace {

using math::RowEntry;
using math::UnknownId;

constexpr double kHoldCyc = 1e-4;

}  // namespace

std::optional<TieAdjuster::Ambiguities> TieAdjuster::ambiguities(
    const std::vector<std::uint32_t>& arcs) const {
  const auto n = static_cast<Eigen::Index>(arcs.size());
  std::vector<UnknownId> ids(std::begin(position_), std::end(position_));
  Eigen::VectorXd per_cycle(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const std::uint32_t arc = arcs[static_cast<std::size_t>(i)];
    per_cycle(i) = 1 / session_.arcs[arc].wavelength_m;
    ids.push_back(ambiguity_[arc]);
  }
  Eigen::VectorXd values;
  Eigen::MatrixXd covariance;
  if (!normals_.solve(ids, values, covariance)) {
    return std::nullopt;
  }
  Ambiguities out;
  out.values_cyc = values.tail(n).cwiseProduct(per_cycle);
  out.covariance_cyc2 = per_cycle.asDiagonal() *
                        covariance.bottomRightCorner(n, n) *
                        per_cycle.asDiagonal();
  out.with_position_m_cyc =
      covariance.topRightCorner(3, n) * per_cycle.asDiagonal();
  return out;
}

void TieAdjuster::release() {
  if (before_hold_) {
    normals_.restore(*before_hold_);
  }
}

void TieAdjuster::hold(const std::vector<TieHold>& holds) {
  before_hold_ = normals_.active();
  std::vector<RowEntry> row;
  for (const TieHold& h : holds) {
    row.clear();
    for (const TieHold::Term& t : h.terms) {
      row.push_back(
          {ambiguity_[t.arc], t.factor / session_.arcs[t.arc].wavelength_m});
    }
    normals_.add_row(row, h.value_cyc, 1 / (kHoldCyc * kHoldCyc));
  }
}

double TieAdjuster::common_m(std::size_t k,
                             const TieSight& s,
                             const std::vector<double>& values) const {
  const auto value_of = [&](UnknownId id) {
    return id == kNoUnknown ? 0 : values[id];
  };
  return -s.to_satellite.x_m * values[position_[0]] -
         s.to_satellite.y_m * values[position_[1]] -
         s.to_satellite.z_m * values[position_[2]] +
         static_cast<double>(s.wet_here) * value_of(zenith_at_[k]) +
         static_cast<double>(s.wet_here - s.wet_there) *
             value_of(zenith_there_at_[k]);
}

double TieAdjuster::channel_m(const TieRow& r,
                              const std::vector<double>& values) const {
  const UnknownId id = channels_[r.group];
  return id == kNoUnknown ? 0
                          : values[id] * channel_of(session_.groups[r.group],
                                                    r.wavelength_m);
}

double TieAdjuster::ionosphere_m(std::size_t k,
                                 const TieSight& s,
                                 const std::vector<double>& values) const {
  const auto index = static_cast<std::size_t>(&s - session_.sights.data());
  const UnknownId own = ionosphere_at_[index], slope = slope_at_[k];
  return (own == kNoUnknown ? 0 : values[own]) +
         (slope == kNoUnknown ? 0 : values[slope]);
}

bool TieAdjuster::finish(TieEstimate& out) {
  Eigen::VectorXd position;
  Eigen::MatrixXd formal;
  if (!normals_.solve(position_, position, formal)) {
    return false;
  }
  const std::vector<double> values = normals_.all_values();
  if (values.empty()) {
    return false;
  }
  out = counts_;
  out.dx_m = position;
  out.formal_m2 = formal;
  out.zenith_m = zenith_.id == kNoUnknown ? 0 : values[zenith_.id];
  out.ambiguity_m.assign(session_.arcs.size(), 0);
  for (std::size_t a = 0; a < session_.arcs.size(); ++a) {
    if (has_ambiguity_[a]) {
      out.ambiguity_m[a] = values[ambiguity_[a]];
    }
  }
  constexpr float kNone = std::numeric_limits<float>::quiet_NaN();
  out.ionosphere_m.assign(session_.sights.size(), kNone);
  for (std::size_t k = 0; k < session_.epochs.size(); ++k) {
    const TieEpoch& epoch = session_.epochs[k];
    for (std::uint32_t i = epoch.first; i < epoch.first + epoch.count; ++i) {
      const TieSight& s = session_.sights[i];
      if (!s.modelled) {
        continue;
      }
      if (ionosphere_at_[i] != kNoUnknown) {
        out.ionosphere_m[i] = static_cast<float>(values[ionosphere_at_[i]]);
      }
      const double common = common_m(k, s, values);
      const double ionosphere = ionosphere_m(k, s, values);
      for (TieRow& r : session_.rows_of(s)) {
        const GroupClocks& clocks =
            clocks_[k * session_.groups.size() + r.group];
        const double delay = ionosphere_factor(s, r.wavelength_m) * ionosphere;
        r.code_residual_m = clocks.code == kNoUnknown || !r.has_code()
                                ? kNone
                                : static_cast<float>(r.code_m - common - delay -
                                                     values[clocks.code]);
        r.phase_residual_m =
            clocks.phase == kNoUnknown || !has_ambiguity_[r.arc]
                ? kNone
                : static_cast<float>(
                      r.phase_m - common + delay - values[clocks.phase] -
                      values[ambiguity_[r.arc]] - channel_m(r, values));
      }
    }
  }
  return true;
}

std::vector<TieAdjuster::Influence> TieAdjuster::influences(
    const TieNoise& noise) const {
  std::vector<Influence> out(session_.rows.size());
  for (int axis = 0; axis < 3; ++axis) {
    const std::vector<double> column = normals_.inverse_column(position_[axis]);
    if (column.empty()) {
      return {};
    }
    for (std::size_t k = 0; k < session_.epochs.size(); ++k) {
      const TieEpoch& epoch = session_.epochs[k];
      for (std::uint32_t i = epoch.first; i < epoch.first + epoch.count; ++i) {
        const TieSight& s = session_.sights[i];
        if (!s.modelled) {
          continue;
        }
        const double common = common_m(k, s, column);
        const double ionosphere = ionosphere_m(k, s, column);
        for (std::uint32_t j = s.first; j < s.first + s.count; ++j) {
          const TieRow& r = session_.rows[j];
          const GroupClocks& clocks =
              clocks_[k * session_.groups.size() + r.group];
          const double delay =
              ionosphere_factor(s, r.wavelength_m) * ionosphere;
          if (r.code_used() && clocks.code != kNoUnknown) {
            out[j].code(axis) =
                (common + delay + column[clocks.code]) *
                tie_code_weight(s, r, noise, without_, session_.step_s());
          }
          if (r.phase_used() && clocks.phase != kNoUnknown) {
            out[j].phase(axis) =
                (common - delay + column[clocks.phase] +
                 column[ambiguity_[r.arc]] + channel_m(r, column)) *
                tie_phase_weight(s, r, noise, without_, session_.step_s());
          }
        }
      }
    }
  }
  return out;
}

}  // namespace stillpoint::solve
