// How long code errors last, from the residuals themselves.
#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "stillpoint/gnss/satellite.h"
#include "stillpoint/math/robust.h"
#include "stillpoint/solve/code_covariance.h"

namespace stillpoint::solve {
namespace {

struct Sample {
  double t_s;
  double u;  // residual over its sigma
};
using Series = std::vector<std::vector<Sample>>;  // by SatId::index()

constexpr std::array kLagsS{30.0, 60.0, 150.0, 300.0, 900.0, 1800.0, 3600.0};
constexpr double kShortestSessionS = 7200;

Series standardised(const CodeSession& session,
                    const ErrorModel& model,
                    const Estimate& estimate) {
  Series series(SatId::kIndexCount);
  EpochResiduals r;
  for (const CodeEpoch& epoch : session.epochs) {
    const auto rows = session.rows_of(epoch);
    epoch_residuals(session, rows, model, estimate, r);
    const double t_s = (epoch.time - session.epochs.front().time).s;
    for (std::size_t i = 0; i < rows.size(); ++i) {
      if (!rows[i].rejected && r.group_size[i] >= 3) {
        series[rows[i].sat_index].push_back(
            {t_s, r.v_m[i] / std::sqrt(r.variance_m2[i])});
      }
    }
  }
  return series;
}

// Pooled autocorrelation at a lag; NaN with too few pairs.
double autocorrelation(const Series& series, double lag_s, double power) {
  double sum = 0;
  int pairs = 0;
  for (const auto& samples : series) {
    std::size_t late = 0;
    for (const Sample& early : samples) {
      while (late < samples.size() &&
             samples[late].t_s < early.t_s + lag_s - 0.5) {
        ++late;
      }
      if (late < samples.size() &&
          std::abs(samples[late].t_s - early.t_s - lag_s) < 0.5) {
        sum += early.u * samples[late].u;
        ++pairs;
      }
    }
  }
  return pairs < 500 ? std::nan("") : sum / pairs / power;
}

double mean_power(const Series& series) {
  double sum = 0;
  std::size_t n = 0;
  for (const auto& samples : series) {
    for (const Sample& s : samples) {
      sum += s.u * s.u;
    }
    n += samples.size();
  }
  return n == 0 ? 0 : sum / static_cast<double>(n);
}

// Least squares of fast * e^(-lag/kFastS) + slow * e^(-lag/kSlowS), both kept
// at or above zero and their sum at or below one.
ErrorMemory fit(const std::vector<std::array<double, 2>>& points) {
  Eigen::Matrix2d n = Eigen::Matrix2d::Zero();
  Eigen::Vector2d b = Eigen::Vector2d::Zero();
  for (const auto& [lag_s, value] : points) {
    const Eigen::Vector2d a(std::exp(-lag_s / kFastS),
                            std::exp(-lag_s / kSlowS));
    n += a * a.transpose();
    b += a * value;
  }
  Eigen::Vector2d x = n.ldlt().solve(b);
  if (x[0] < 0) {
    x = {0, b[1] / n(1, 1)};
  }
  ErrorMemory memory{.fast = std::max(0.0, x[0]),
                     .slow = std::max(kLeastSlow, x[1])};
  const double sum = memory.fast + memory.slow;
  if (sum > 1) {
    memory.fast /= sum;
    memory.slow /= sum;
  }
  return memory;
}

double session_length_s(const CodeSession& session) {
  return session.epochs.empty()
             ? 0
             : (session.epochs.back().time - session.epochs.front().time).s;
}

}  // namespace

ErrorMemory estimate_memory(const CodeSession& session,
                            const ErrorModel& model,
                            const Estimate& estimate) {
  if (session_length_s(session) < kShortestSessionS) {
    return {};
  }
  const Series series = standardised(session, model, estimate);
  const double power = mean_power(series);
  std::vector<std::array<double, 2>> points;
  for (const double lag_s : kLagsS) {
    const double value = autocorrelation(series, lag_s, power);
    if (!std::isnan(value)) {
      points.push_back({lag_s, value});
    }
  }
  return points.size() < 3 ? ErrorMemory{} : fit(points);
}

double repetition_of(const CodeSession& session, const ErrorMemory& memory) {
  if (session.epochs.size() < 2) {
    return 1;
  }
  const double length_s = session_length_s(session);
  std::vector<double> steps;
  for (std::size_t k = 1; k < session.epochs.size(); ++k) {
    steps.push_back((session.epochs[k].time - session.epochs[k - 1].time).s);
  }
  const double step_s = math::median(std::move(steps));
  const auto epochs_in = [&](double memory_s) {
    return std::max(1.0, std::min(2 * memory_s, length_s) / step_s);
  };
  return 1 + memory.fast * (epochs_in(kFastS) - 1) +
         memory.slow * (epochs_in(kSlowS) - 1);
}

}  // namespace stillpoint::solve
