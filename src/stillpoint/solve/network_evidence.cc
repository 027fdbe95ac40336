#include "stillpoint/solve/network_evidence.h"

#include <fmt/format.h>

#include <cmath>

#include "stillpoint/solve/chi_square.h"

namespace stillpoint::solve {
namespace {

struct Miss {
  Eigen::Vector3d m;  // own position minus where the station is believed to be
  Eigen::Matrix3d m2;
};

Miss miss_of(const NetworkCase& c, const KnownEvidence& e) {
  return {to_eigen(e.position_m - (*c.ties)[e.tie].known_m),
          usable_covariance(e.covariance_m2) + c.known_m2[e.tie]};
}

// If the coordinate of station `wrong` is not to be believed.
Miss miss_of(const NetworkCase& c, const KnownEvidence& e, std::size_t wrong) {
  Miss miss = miss_of(c, e);
  if (e.tie == wrong) {
    // The shift's covariance is the known's and that of the place which the
    // others give the station.
    miss.m += c.shifts[wrong].shift_m;
    miss.m2 += c.shifts[wrong].covariance_m2 - 2 * c.known_m2[wrong];
  }
  return miss;
}

double chi2_of(const Miss& miss) {
  return miss.m.dot(miss.m2.ldlt().solve(miss.m));
}

}  // namespace

bool evidence_agrees(const NetworkCase& c, std::size_t wrong) {
  const double limit = chi_square_limit(kFalseAlarms, 3);
  for (const KnownEvidence& one : *c.evidence) {
    for (const KnownEvidence& other : *c.evidence) {
      if (one.tie < other.tie) {
        const Miss a = miss_of(c, one, wrong);
        const Miss b = miss_of(c, other, wrong);
        if (chi2_of({a.m - b.m, a.m2 + b.m2}) > limit) {
          return false;
        }
      }
    }
  }
  return true;
}

double evidence_cost(const NetworkCase& c, std::size_t wrong) {
  if (c.evidence->empty()) {
    return 0;
  }
  Miss common{Eigen::Vector3d::Zero(), Eigen::Matrix3d::Zero()};
  for (const KnownEvidence& e : *c.evidence) {
    const Miss miss = miss_of(c, e, wrong);
    common.m += miss.m;
    common.m2 += miss.m2;
  }
  const auto count = static_cast<double>(c.evidence->size());
  common.m /= count;
  common.m2 /= count;
  constexpr double kTailDof = 4;
  return (kTailDof + 3) * std::log1p(chi2_of(common) / kTailDof);
}

double evidence_test(const NetworkCase& c, const KnownEvidence& e) {
  return chi2_of(miss_of(c, e));
}

std::string evidence_text(const NetworkCase& c) {
  std::string text;
  for (const KnownEvidence& e : *c.evidence) {
    const Miss miss = miss_of(c, e);
    const double distance = miss.m.norm();
    // Of the distance: along the miss itself.
    const Eigen::Vector3d way = distance > 0
                                    ? Eigen::Vector3d(miss.m / distance)
                                    : Eigen::Vector3d(Eigen::Vector3d::UnitX());
    fmt::format_to(std::back_inserter(text),
                   "{}{} ({}) is {:.0f} mm from its known coordinate, one "
                   "sigma {:.0f} mm",
                   text.empty() ? "the own position of " : ", that of ",
                   (*c.ties)[e.tie].to,
                   e.method,
                   distance * 1e3,
                   std::sqrt(way.dot(miss.m2 * way)) * 1e3);
  }
  return text;
}

}  // namespace stillpoint::solve
