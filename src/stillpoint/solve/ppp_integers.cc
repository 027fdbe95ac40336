#include "stillpoint/solve/ppp_integers.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "stillpoint/math/integer_fix.h"
#include "stillpoint/solve/chi_square.h"
#include "stillpoint/solve/ppp_arc_differences.h"
#include "stillpoint/solve/ppp_integer_hours.h"

namespace stillpoint::solve {
namespace {

// By how much the formal covariance of the ambiguities is too small: phases of
// five minutes are alike, and the slow errors are larger than assumed. So the
// integers' distance from the float values comes to 2.1 to 3.4 formal variances
// a combination on days, hours and 4 h of four receivers (docs/integers.md).
constexpr double kWidened = 4;
// How firmly an accepted combination is held [m].
constexpr double kHeldM = 1e-4;
constexpr int kMostRounds = 12;
// An arc is left out for the others to pass only where so many differences are
// left that the rest can be told right from wrong, and as many as can be tried.
constexpr std::size_t kFewestToLeaveOut = 10, kMostToLeaveOut = 40;
constexpr int kMostLeftOut = 3;
// The ratio's threshold holds for a true covariance. Small sets can fit by
// chance what the products are wrong by.
constexpr std::size_t kSmallSet = 20, kTinySet = 10;
constexpr double kSmallSetRatio = 2, kTinySetRatio = 3;
// Five satellites of a system in 15 minutes went 286 mm wrong with four.
// Under half an hour the sky hardly moves, so that little contradicts a wrong
// one: five of them left an answer of 15 and one of 20 minutes 45 mm off,
// at 3.8 sigmas, a chosen part of more another. Six are asked for then, and
// all.
constexpr int kFewestIntegers = 5, kFewestInShort = 6;
constexpr double kShortSessionS = 1800;
// The integers as a whole: chi-squares that are exceeded this rarely. A part of
// the combinations, or what passes after an arc was left out for it, was chosen
// to fit, so that more is asked of it; from ten on, nearly all count as all.
constexpr double kTail = 1e-3, kChosenTail = 0.1, kShareWhole = 0.8;
// Of the candidates: with fewer integers the position does not stand on them.
constexpr double kShareKept = 0.6;

class ArcFixer {
 public:
  ArcFixer(const PppSession& session,
           const PppWideLanes& lanes,
           const std::vector<bool>& candidates,
           const PppNoise& noise,
           const TermSet& without,
           double failure_rate,
           PppAdjuster& adjuster)
      : session_(session),
        lanes_(lanes),
        free_(candidates),
        noise_(noise),
        without_(without),
        failure_rate_(failure_rate),
        adjuster_(adjuster) {}

  PppIntegers fix(const Eigen::Matrix3d& float_m2, PppEstimate& estimate);

 private:
  void study_rows();
  bool load();
  bool search();
  [[nodiscard]] bool is_short() const;
  [[nodiscard]] bool fits() const;
  bool leave_arcs_out();
  bool find();
  void release(std::uint32_t arc);
  void hold(double sign);
  [[nodiscard]] std::vector<bool> kept() const;

  const PppSession& session_;
  const PppWideLanes& lanes_;
  std::vector<bool> free_;  // candidates that were not released
  const PppNoise& noise_;
  TermSet without_;
  double failure_rate_;
  PppAdjuster& adjuster_;

  std::vector<double> wave_m_, whole_lane_m_, strength_;  // by arc
  std::vector<std::uint32_t> arcs_;                       // candidates
  std::vector<int> index_;                                // by arc, in arcs_
  Eigen::VectorXd values_m_;
  Eigen::MatrixXd covariance_m2_;
  std::vector<ArcDifference> differences_;
  math::IntegerFix found_;
  double norm_ = 0;  // of the integers' distance from the float ones
  int released_ = 0;
  bool left_out_ = false;  // an arc, so that the others pass
  std::string why_not_;
};

// Wave of the narrow lane, the wide lane's part of the ambiguity, and how much
// an arc knows.
void ArcFixer::study_rows() {
  const std::size_t n = session_.arcs.size();
  wave_m_.assign(n, 0);
  whole_lane_m_.assign(n, 0);
  strength_.assign(n, 0);
  for (const PppRow& r : session_.rows) {
    if (!r.phase_used() || !free_[r.arc]) {
      continue;
    }
    const double f1 = r.first_hz, f2 = r.second_hz;
    wave_m_[r.arc] = r.turn_m();
    whole_lane_m_[r.arc] = kSpeedOfLightMps * f2 / (f1 * f1 - f2 * f2) *
                           static_cast<double>(*lanes_.whole[r.arc]);
    strength_[r.arc] += std::pow(phase_sigma_m(r, without_), -2);
  }
}

bool ArcFixer::load() {
  arcs_.clear();
  index_.assign(session_.arcs.size(), -1);
  for (std::uint32_t a = 0; a < session_.arcs.size(); ++a) {
    if (free_[a]) {
      index_[a] = static_cast<int>(arcs_.size());
      arcs_.push_back(a);
    }
  }
  return !arcs_.empty() &&
         adjuster_.ambiguities(arcs_, values_m_, covariance_m2_);
}

bool ArcFixer::is_short() const {
  const double length_s =
      (session_.epochs.back().time - session_.epochs.front().time).s;
  return length_s < kShortSessionS - 2 * session_.interval_s;
}

// Integers of the differences at hand; false when they are not certain enough
// or do not fit the float ones.
bool ArcFixer::search() {
  differences_ = arc_differences(session_, free_, strength_);
  found_ = {};
  const auto n = static_cast<Eigen::Index>(differences_.size());
  if (n == 0) {
    return false;
  }
  Eigen::VectorXd cycles(n);
  Eigen::MatrixXd to_cycles =
      Eigen::MatrixXd::Zero(n, static_cast<Eigen::Index>(arcs_.size()));
  for (Eigen::Index i = 0; i < n; ++i) {
    const ArcDifference& d = differences_[static_cast<std::size_t>(i)];
    const double wave_m = wave_m_[d.arc];
    const auto whole_m = [&](std::uint32_t a) {
      return values_m_(index_[a]) + session_.arcs[a].offset_m -
             whole_lane_m_[a];
    };
    cycles(i) = (whole_m(d.arc) - whole_m(d.reference)) / wave_m;
    to_cycles(i, index_[d.arc]) = 1 / wave_m;
    to_cycles(i, index_[d.reference]) = -1 / wave_m;
  }
  const Eigen::MatrixXd covariance =
      kWidened * to_cycles * covariance_m2_ * to_cycles.transpose();
  found_ = math::fix_integers(
      cycles,
      covariance,
      {.failure_rate = failure_rate_,
       .fewest = is_short() ? kFewestInShort : kFewestIntegers});
  if (found_.count() == 0) {
    return false;
  }
  const Eigen::MatrixXd& z = found_.combinations;
  const Eigen::VectorXd off = found_.values - z.transpose() * cycles;
  norm_ = off.dot((z.transpose() * covariance * z).llt().solve(off));
  return true;
}

bool ArcFixer::fits() const {
  const auto n = static_cast<double>(differences_.size());
  const double whole_share = differences_.size() < kTinySet ? 1 : kShareWhole;
  const bool chosen = left_out_ || found_.count() < whole_share * n;
  const double least_ratio = differences_.size() < kTinySet    ? kTinySetRatio
                             : differences_.size() < kSmallSet ? kSmallSetRatio
                                                               : 0;
  if (found_.ratio < least_ratio ||
      (is_short() && found_.count() < static_cast<int>(n))) {
    return false;
  }
  return norm_ <=
         chi_square_limit(chosen ? kChosenTail : kTail, found_.count());
}

void ArcFixer::release(std::uint32_t arc) {
  free_[arc] = false;
  ++released_;
}

// One arc that is no integer (a satellite whose product is wrong, a slip that
// nobody saw) spoils the others: the set without each in turn, and on with the
// one that fits best until one passes.
bool ArcFixer::leave_arcs_out() {
  left_out_ = true;
  for (int out = 0; out < kMostLeftOut; ++out) {
    if (differences_.size() <= kFewestToLeaveOut ||
        arcs_.size() > kMostToLeaveOut) {
      return false;
    }
    constexpr std::uint32_t kNone = ~0U;
    std::uint32_t best = kNone;
    double best_norm = std::numeric_limits<double>::infinity();
    for (const std::uint32_t a : arcs_) {
      if (!free_[a]) {
        continue;
      }
      free_[a] = false;
      if (search() && norm_ / found_.count() < best_norm) {
        best_norm = norm_ / found_.count();
        best = a;
      }
      free_[a] = true;
    }
    if (best == kNone) {
      return false;
    }
    release(best);
    if (search() && fits()) {
      return true;
    }
  }
  return false;
}

// Integers that are certain enough and fit.
bool ArcFixer::find() {
  const bool certain = search();
  if (certain && fits()) {
    return true;
  }
  why_not_ = certain ? "the nearest integers do not fit the phases"
                     : "the integers are not certain enough";
  return leave_arcs_out();
}

// The accepted combinations as observations; sign -1 takes them back.
void ArcFixer::hold(double sign) {
  std::vector<double> sums(arcs_.size());
  std::vector<PppAdjuster::ArcTerm> terms;
  for (Eigen::Index c = 0; c < found_.combinations.cols(); ++c) {
    std::fill(sums.begin(), sums.end(), 0.0);
    double value_m = 0, wave_m = 0;
    for (std::size_t i = 0; i < differences_.size(); ++i) {
      const double z = found_.combinations(static_cast<Eigen::Index>(i), c);
      if (z == 0) {
        continue;
      }
      // In cycles, then by a common wave to metres.
      const ArcDifference& d = differences_[i];
      wave_m = std::max(wave_m, wave_m_[d.arc]);
      const double part = z / wave_m_[d.arc];
      sums[static_cast<std::size_t>(index_[d.arc])] += part;
      sums[static_cast<std::size_t>(index_[d.reference])] -= part;
      value_m += part * (whole_lane_m_[d.arc] - session_.arcs[d.arc].offset_m -
                         whole_lane_m_[d.reference] +
                         session_.arcs[d.reference].offset_m);
    }
    terms.clear();
    for (std::size_t k = 0; k < arcs_.size(); ++k) {
      if (sums[k] != 0) {
        terms.push_back({arcs_[k], sums[k] * wave_m});
      }
    }
    adjuster_.constrain(
        terms, (found_.values(c) + value_m) * wave_m, sign / (kHeldM * kHeldM));
  }
}

// Arcs that the accepted combinations determine: their unit vector lies in the
// space of the combinations. A reference counts with its first arc.
std::vector<bool> ArcFixer::kept() const {
  std::vector<bool> out(session_.arcs.size(), false);
  const Eigen::HouseholderQR<Eigen::MatrixXd> qr(found_.combinations);
  const Eigen::MatrixXd q =
      qr.householderQ() * Eigen::MatrixXd::Identity(found_.combinations.rows(),
                                                    found_.combinations.cols());
  for (std::size_t i = 0; i < differences_.size(); ++i) {
    if (q.row(static_cast<Eigen::Index>(i)).squaredNorm() > 1 - 1e-6) {
      out[differences_[i].arc] = true;
      out[differences_[i].reference] = true;
    }
  }
  return out;
}

PppIntegers ArcFixer::fix(const Eigen::Matrix3d& float_m2,
                          PppEstimate& estimate) {
  PppIntegers out;
  out.arcs.assign(session_.arcs.size(), false);
  study_rows();
  if (!load()) {
    out.why_not = "no arc has a wide lane that is safe";
    return out;
  }
  const PppEstimate before = estimate;
  for (int round = 0; round < kMostRounds; ++round) {
    if (!find()) {
      break;
    }
    out.ratio = found_.ratio;
    hold(1);
    if (!adjuster_.refresh(estimate)) {
      hold(-1);
      break;
    }
    const std::vector<bool> fixed = kept();
    const auto count =
        static_cast<double>(std::count(fixed.begin(), fixed.end(), true));
    if (count < kShareKept * static_cast<double>(arcs_.size())) {
      why_not_ = "too few of the integers are certain";
      hold(-1);
      break;
    }
    const std::vector<std::uint32_t> apart =
        arcs_apart(session_, adjuster_, noise_, without_, fixed);
    if (apart.empty()) {
      const Eigen::Vector3d moved = estimate.dx_m - before.dx_m;
      if (moved.dot(float_m2.llt().solve(moved)) > chi_square_limit(kTail, 3)) {
        why_not_ =
            "with integers the position leaves the one without by "
            "more than its sigma allows";
        hold(-1);
        break;
      }
      out.fixed = true;
      out.arcs = fixed;
      out.released = released_;
      return out;
    }
    hold(-1);
    for (const std::uint32_t a : apart) {
      release(a);
    }
    why_not_ = "arc after arc disagrees with its integer";
  }
  adjuster_.refresh(estimate);
  out.why_not = why_not_;
  out.released = released_;
  return out;
}

}  // namespace

PppIntegers fix_arcs(const PppSession& session,
                     const PppWideLanes& lanes,
                     const std::vector<bool>& candidates,
                     const PppNoise& noise,
                     const TermSet& without,
                     double failure_rate,
                     const Eigen::Matrix3d& float_m2,
                     PppAdjuster& adjuster,
                     PppEstimate& estimate) {
  return ArcFixer(
             session, lanes, candidates, noise, without, failure_rate, adjuster)
      .fix(float_m2, estimate);
}

}  // namespace stillpoint::solve
