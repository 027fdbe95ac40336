#include "stillpoint/solve/tie_integers.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace stillpoint::solve {
namespace {

// A difference this well known after the fix is a whole number.
constexpr double kHeldCyc = 0.02;
constexpr double kTestS = 3600;
// An hour's mean residual of a held arc: so many of its sigmas, and so much of
// a cycle.
constexpr double kReleaseSigmas = 5, kReleaseCyc = 0.12;

// What reflections shift an arc by that no length of it averages out, one sigma
// at the zenith [m]; grows with the cosecant. Without it an hour of phases is
// surer of its ambiguities than it may be: on two real antennas they lay four
// of their sigmas from whole numbers (docs/integers.md).
constexpr double kSlowM = 0.003;

// An ambiguity that stands apart by so many sigmas from a whole number while
// the others agree is no integer; those nearly as bad go with it.
constexpr double kOutlierSigmas = 4.5, kAlikeShare = 0.8;
constexpr int kMostSearches = 20;
// Where more than the rest had to go, what is left is not to be trusted either.
constexpr double kFewestLeft = 0.75;
// Arcs with a reference, their differences to it and the covariance [cycles].
struct Differences {
  std::vector<std::uint32_t> members;
  Eigen::VectorXd values;
  Eigen::MatrixXd covariance;     // with the slow errors
  Eigen::MatrixXd formal;         // without
  Eigen::MatrixXd with_position;  // 3 x n
};

// Nothing where there are none, or the normals are singular.
Differences differences_of(const TieSession& session,
                           const TieAdjuster& adjuster,
                           const std::vector<std::uint32_t>& reference) {
  Differences d;
  for (std::uint32_t a = 0; a < session.arcs.size(); ++a) {
    if (reference[a] != a) {
      d.members.push_back(a);
    }
  }
  std::vector<std::uint32_t> all = d.members;
  std::map<std::uint32_t, Eigen::Index> place;
  for (const std::uint32_t a : d.members) {
    if (place.try_emplace(reference[a], static_cast<Eigen::Index>(all.size()))
            .second) {
      all.push_back(reference[a]);
    }
  }
  const auto known = all.empty() ? std::nullopt : adjuster.ambiguities(all);
  if (!known) {
    d.members.clear();
    return d;
  }
  Eigen::VectorXd slow_cyc2(static_cast<Eigen::Index>(all.size()));
  for (Eigen::Index i = 0; i < slow_cyc2.size(); ++i) {
    const TieArc& arc = session.arcs[all[static_cast<std::size_t>(i)]];
    const double slow_cyc = kSlowM * arc.cosecant / arc.wavelength_m;
    slow_cyc2(i) = slow_cyc * slow_cyc;
  }
  const auto n = static_cast<Eigen::Index>(d.members.size());
  std::vector<Eigen::Index> to;  // place of each member's reference
  for (const std::uint32_t a : d.members) {
    to.push_back(place.at(reference[a]));
  }
  const Eigen::MatrixXd& c = known->covariance_cyc2;
  d.values.resize(n);
  d.with_position.resize(3, n);
  d.formal.resize(n, n);
  d.covariance.resize(n, n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const Eigen::Index r = to[static_cast<std::size_t>(i)];
    d.values(i) = known->values_cyc(i) - known->values_cyc(r);
    d.with_position.col(i) =
        known->with_position_m_cyc.col(i) - known->with_position_m_cyc.col(r);
    for (Eigen::Index j = 0; j <= i; ++j) {
      const Eigen::Index q = to[static_cast<std::size_t>(j)];
      const double formal = c(i, j) - c(i, q) - c(r, j) + c(r, q);
      const double slow =
          (i == j ? slow_cyc2(i) : 0) + (r == q ? slow_cyc2(r) : 0);
      d.formal(i, j) = d.formal(j, i) = formal;
      d.covariance(i, j) = d.covariance(j, i) = formal + slow;
    }
  }
  return d;
}

// The combinations that are held, as sums over the arcs' own ambiguities.
std::vector<TieHold> holds_of(const Differences& d,
                              const std::vector<std::uint32_t>& reference,
                              const math::IntegerFix& fix) {
  std::vector<TieHold> holds;
  for (Eigen::Index c = 0; c < fix.combinations.cols(); ++c) {
    std::map<std::uint32_t, double> factors;
    for (std::size_t i = 0; i < d.members.size(); ++i) {
      const double z = fix.combinations(static_cast<Eigen::Index>(i), c);
      factors[d.members[i]] += z;
      factors[reference[d.members[i]]] -= z;
    }
    TieHold hold;
    hold.value_cyc = fix.values(c);
    for (const auto& [arc, factor] : factors) {
      if (factor != 0) {
        hold.terms.push_back({arc, factor});
      }
    }
    holds.push_back(std::move(hold));
  }
  return holds;
}

// What the held combinations say of each arc.
struct Verdict {
  double misfit = 0;            // squared norm over count
  std::vector<bool> whole;      // by member: known as a whole number
  std::vector<double> outlier;  // by member: how many sigmas it stands apart
};

// The test of one ambiguity at a time: how far it would have to be off to
// explain the misfit of all combinations it is part of.
//
//   source   Baarda's test of single alternatives (from memory)
Verdict verdict_of(const Differences& d, const math::IntegerFix& fix) {
  const Eigen::MatrixXd& z = fix.combinations;
  const Eigen::MatrixXd qz = d.covariance * z;
  const Eigen::LDLT<Eigen::MatrixXd> ldlt(z.transpose() * qz);
  const Eigen::VectorXd off = z.transpose() * d.values - fix.values;
  const Eigen::VectorXd pull = ldlt.solve(off);
  Verdict v;
  v.misfit = off.dot(pull) / fix.count();
  const Eigen::MatrixXd gain = ldlt.solve(qz.transpose());
  const Eigen::MatrixXd weights = ldlt.solve(z.transpose());
  for (Eigen::Index i = 0; i < z.rows(); ++i) {
    const double left = d.covariance(i, i) - qz.row(i).dot(gain.col(i));
    v.whole.push_back(left < kHeldCyc * kHeldCyc);
    const double size = std::sqrt(std::max(0.0, z.row(i).dot(weights.col(i))));
    v.outlier.push_back(size > 0 ? std::abs(z.row(i).dot(pull)) / size : 0);
  }
  return v;
}

// What the hold does to the position.
void find_shift(const Differences& d, TieIntegers& out) {
  const Eigen::MatrixXd& z = out.fix.combinations;
  const Eigen::LDLT<Eigen::MatrixXd> formal(z.transpose() * d.formal * z);
  const Eigen::MatrixXd gain =
      formal.solve((d.with_position * z).transpose()).transpose();
  out.shift_m = gain * (out.fix.values - z.transpose() * d.values);
  out.room_m2 = gain * (z.transpose() * d.covariance * z) * gain.transpose();
}

}  // namespace

TieIntegers search_integers(TieSession& session,
                            const TieAdjuster& adjuster,
                            double failure_rate) {
  math::IntegerPolicy policy;
  policy.failure_rate = failure_rate;
  TieIntegers out;
  std::size_t candidates = 0;
  for (int round = 0; round < kMostSearches; ++round) {
    out = {};
    out.reference = arc_references(session, adjuster);
    out.fixed.assign(session.arcs.size(), false);
    const Differences d = differences_of(session, adjuster, out.reference);
    candidates = std::max(candidates, d.members.size());
    if (d.members.empty() ||
        static_cast<double>(d.members.size()) <
            kFewestLeft * static_cast<double>(candidates)) {
      return out;
    }
    out.fix = math::fix_integers(d.values, d.covariance, policy);
    if (out.fix.count() == 0) {
      return out;
    }
    const Verdict v = verdict_of(d, out.fix);
    const double worst = *std::max_element(v.outlier.begin(), v.outlier.end());
    out.misfit = v.misfit;
    for (std::size_t i = 0; i < d.members.size(); ++i) {
      out.fixed[d.members[i]] = v.whole[i];
      if (worst > kOutlierSigmas && v.outlier[i] > kAlikeShare * worst) {
        session.arcs[d.members[i]].holdable = false;
      }
    }
    if (worst <= kOutlierSigmas) {
      out.holds = holds_of(d, out.reference, out.fix);
      find_shift(d, out);
      return out;
    }
  }
  return out;
}

int release_wrong(TieSession& session,
                  const TieIntegers& integers,
                  const TieNoise& noise,
                  const TermSet& without) {
  struct Sum {
    double residual = 0, variance = 0;
    int count = 0;
  };
  std::map<std::pair<std::uint32_t, int>, Sum> sums;  // by arc and hour
  const GnssTime start = session.epochs.front().time;
  for (const TieEpoch& epoch : session.epochs) {
    const int hour = static_cast<int>((epoch.time - start).s / kTestS);
    for (const TieSight& s : session.sights_of(epoch)) {
      if (!s.modelled) {
        continue;
      }
      for (const TieRow& r : session.rows_of(s)) {
        if (!r.phase_used() || !std::isfinite(r.phase_residual_m) ||
            !(integers.fixed[r.arc])) {
          continue;
        }
        Sum& sum = sums[{r.arc, hour}];
        const double sigma =
            noise.phase_factor[r.group] * tie_phase_sigma_m(s, r, without);
        sum.residual += r.phase_residual_m;
        sum.variance += sigma * sigma;
        ++sum.count;
      }
    }
  }
  int released = 0;
  const double repetition = tie_repetition(session.step_s());
  for (const auto& [key, sum] : sums) {
    TieArc& arc = session.arcs[key.first];
    const double mean_m = std::abs(sum.residual / sum.count);
    const double sigma_m = std::sqrt(sum.variance / sum.count *
                                     std::min(1.0, repetition / sum.count));
    if (arc.holdable && mean_m > kReleaseSigmas * sigma_m &&
        mean_m > kReleaseCyc * arc.wavelength_m) {
      arc.holdable = false;
      ++released;
    }
  }
  return released;
}

}  // namespace stillpoint::solve
