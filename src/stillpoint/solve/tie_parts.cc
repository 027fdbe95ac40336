#include "stillpoint/solve/tie_parts.h"

#include <cmath>

#include "stillpoint/math/robust.h"

namespace stillpoint::solve {
namespace {

constexpr double kHalvesS = 1170, kQuartersS = 7170;
constexpr double kSigmas = 4, kLeastM = 0.005;

using Axes = Eigen::Vector3d;

// Mean of the parts behind a seam less that of those before it. Ambiguities
// that are not whole move all parts alike: the difference is surer than each.
struct Difference {
  Axes off_m, variance_m2;
};
Difference difference_at(const TieAdjuster::Parts& parts,
                         const Eigen::Matrix3d& axes,
                         std::size_t seam,
                         std::size_t count) {
  Eigen::MatrixXd contrast =
      Eigen::MatrixXd::Zero(3, static_cast<Eigen::Index>(3 * count));
  for (std::size_t p = 0; p < count; ++p) {
    const double weight = p < seam ? -1.0 / static_cast<double>(seam)
                                   : 1.0 / static_cast<double>(count - seam);
    contrast.middleCols<3>(static_cast<Eigen::Index>(3 * p)) = weight * axes;
  }
  return {contrast * parts.dx_m,
          (contrast * parts.formal_m2 * contrast.transpose()).diagonal()};
}

// Sigmas on the axis where it is most; what is not worth a word does not count.
double sigmas_of(const Difference& d) {
  double worst = 0;
  for (Eigen::Index i = 0; i < 3; ++i) {
    if (std::abs(d.off_m(i)) > kLeastM) {
      worst =
          std::max(worst, std::abs(d.off_m(i)) / std::sqrt(d.variance_m2(i)));
    }
  }
  return worst;
}

// Residuals of an antenna that moved are large for that alone; from one epoch
// to the next they are not. How much of their spread is noise, at most 1.
double share_of_noise(const TieSession& session, const TermSet& without) {
  // Reflections last: what is left of them from epoch to epoch may be half.
  constexpr double kLasting = 2;
  std::vector<double> sizes, steps;
  std::vector<double> before(session.arcs.size(), kMissing);
  for (std::size_t k = 0; k < session.epochs.size(); k += session.stride) {
    for (const TieSight& s : session.sights_of(session.epochs[k])) {
      if (!s.modelled) {
        continue;
      }
      for (const TieRow& r : session.rows_of(s)) {
        const double size =
            r.phase_residual_m / tie_phase_sigma_m(s, r, without);
        if (!r.phase_used() || !std::isfinite(size)) {
          continue;
        }
        sizes.push_back(std::abs(size));
        if (is_present(before[r.arc])) {
          steps.push_back(std::abs(size - before[r.arc]) / std::sqrt(2.0));
        }
        before[r.arc] = size;
      }
    }
  }
  if (steps.empty()) {
    return 1;
  }
  const double spread = math::median_in_place(sizes);
  return spread > 0
             ? std::min(1.0, kLasting * math::median_in_place(steps) / spread)
             : 1;
}

Eigen::Matrix3d axes_at(const Ecef& place) {
  const Mat3 m = enu_R_ecef(to_geodetic(place));
  return Eigen::Map<const Eigen::Matrix<double, 3, 3, Eigen::RowMajor>>(
      m.data());
}

// Arcs whose ambiguities are known: whole ones, and those they refer to.
std::vector<bool> known_arcs(const TieIntegers& integers, std::size_t arcs) {
  std::vector<bool> known(arcs, false);
  for (std::size_t a = 0; a < integers.fixed.size(); ++a) {
    if (integers.fixed[a]) {
      known[a] = true;
      known[integers.reference[a]] = true;
    }
  }
  return known;
}

}  // namespace

std::optional<TieMove> find_move(TieAdjuster& adjuster,
                                 const TieSession& session,
                                 const TermSet& without,
                                 const TieNoise& noise,
                                 const TieAir& air,
                                 const TieIntegers& integers,
                                 const TieEstimate& estimate,
                                 const Eigen::Matrix3d& honest_m2) {
  const double span_s = session.span_s();
  if (span_s < kHalvesS) {
    return std::nullopt;
  }
  const std::size_t count = span_s < kQuartersS ? 2 : 4;
  const auto answer =
      adjuster.run_parts(noise,
                         air,
                         count,
                         known_arcs(integers, session.arcs.size()),
                         estimate.ambiguity_m);
  if (!answer) {
    return std::nullopt;
  }
  const Eigen::Matrix3d axes = axes_at(session.reference_m);
  const Axes formal = (axes * estimate.formal_m2 * axes.transpose()).diagonal();
  const Axes honest = (axes * honest_m2 * axes.transpose()).diagonal();
  const double noise_share = share_of_noise(session, without);
  const Axes larger =
      noise_share * noise_share * honest.cwiseQuotient(formal).cwiseMax(1);
  std::optional<TieMove> out;
  for (std::size_t seam = 1; seam < count; ++seam) {
    Difference d = difference_at(*answer, axes, seam, count);
    d.variance_m2 = d.variance_m2.cwiseProduct(larger);
    const double sigmas = sigmas_of(d);
    if (sigmas > (out ? out->sigmas : kSigmas)) {
      const std::size_t first = session.first_of_part(seam, count);
      out = TieMove{session.epochs[first].time, d.off_m, sigmas};
    }
  }
  return out;
}

}  // namespace stillpoint::solve
