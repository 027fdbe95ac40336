#include "stillpoint/solve/ppp_integer_hours.h"

#include <algorithm>
#include <cmath>

namespace stillpoint::solve {
namespace {

// Hour means of a fixed arc's phases: what may be left of orbits, clocks,
// patterns and air at the zenith [m], how many of its sigmas are too many, and
// what is never too much.
constexpr double kHourM = 0.004, kHourSigmas = 4.5, kHourLeastM = 0.02;
constexpr double kHourS = 3600, kMemoryS = 300;

}  // namespace

std::vector<std::uint32_t> arcs_apart(const PppSession& session,
                                      const PppAdjuster& adjuster,
                                      const PppNoise& noise,
                                      const TermSet& without,
                                      const std::vector<bool>& fixed) {
  struct Mean {
    double sum = 0, weight = 0, cosecant = 0;
    double first_s = 0, last_s = 0;
    int rows = 0;
    std::size_t hour = 0;
    bool any = false;
  };
  std::vector<Mean> means(session.arcs.size());
  std::vector<double> worst(session.arcs.size(), 0.0);
  const auto close = [&](std::uint32_t a) {
    Mean& m = means[a];
    if (!m.any) {
      return;
    }
    const double cosecant = m.cosecant / m.weight;
    const double noise_m = std::sqrt(
        m.rows / (m.weight * std::max(1.0, (m.last_s - m.first_s) / kMemoryS)));
    const double sigma_m = std::hypot(kHourM * cosecant, noise_m);
    const double mean_m = std::abs(m.sum / m.weight);
    if (mean_m > kHourLeastM && mean_m > kHourSigmas * sigma_m) {
      worst[a] = std::max(worst[a], mean_m / sigma_m);
    }
    m = {};
  };
  for (const PppEpoch& epoch : session.epochs) {
    const double since_s = (epoch.time - session.epochs.front().time).s;
    const auto hour = static_cast<std::size_t>(since_s / kHourS);
    for (std::size_t i = epoch.first; i < epoch.first + epoch.count; ++i) {
      const PppRow& r = session.rows[i];
      if (!r.phase_used() || !fixed[r.arc]) {
        continue;
      }
      Mean& m = means[r.arc];
      if (m.any && m.hour != hour) {
        close(r.arc);
      }
      if (!m.any) {
        m.any = true;
        m.hour = hour;
        m.first_s = since_s;
      }
      m.last_s = since_s;
      const double sigma_m =
          phase_sigma_m(r, without) *
          noise.phase_factor[static_cast<std::size_t>(r.sat.system)];
      const double weight = 1 / (sigma_m * sigma_m);
      m.sum += weight * adjuster.phase_with_slow_m(i);
      m.weight += weight;
      ++m.rows;
      m.cosecant +=
          weight /
          std::max(0.05, std::sin(static_cast<double>(r.elevation_rad)));
    }
  }
  for (std::uint32_t a = 0; a < session.arcs.size(); ++a) {
    close(a);
  }
  const double most = *std::max_element(worst.begin(), worst.end());
  std::vector<std::uint32_t> out;
  for (std::uint32_t a = 0; a < session.arcs.size(); ++a) {
    if (most > 0 && worst[a] > 0.8 * most) {
      out.push_back(a);
    }
  }
  return out;
}

}  // namespace stillpoint::solve
