#include "stillpoint/solve/live_position.h"

#include <algorithm>
#include <cmath>
#include <deque>
#include <vector>

#include "stillpoint/math/robust.h"
#include "stillpoint/solve/code_adjust.h"
#include "stillpoint/solve/code_covariance.h"
#include "stillpoint/solve/code_measure.h"
#include "stillpoint/solve/code_state.h"
#include "stillpoint/solve/covariance_arrays.h"

namespace stillpoint::solve {
namespace {

// Receivers' clocks walk by milliseconds against the even second.
constexpr double kWalkS = 0.1;
constexpr double kSetBackS = 60;
// Farther than this from where it was, so many times in a row, the antenna is
// looked for from nothing.
constexpr double kLostM = 1000;
constexpr int kLostInARow = 5;
// A position farther from the median than so many robust sigmas of its axis
// stands apart; scatter below the floor is none.
constexpr double kApart = 3.5, kLeastScatterM = 0.1;
// Noise over the a priori model's; the model's own level is that of a quiet
// site, and a whole session would estimate it.
constexpr double kNoiseFactor = 2;
// Tide, near field and antenna, which no averaging takes off: the parts that
// code_solver.cc adds, in one number.
constexpr double kStandingM[] = {0.05, 0.05, 0.2};

struct Point {
  GnssTime time;
  Enu offset;  // from the reference
  std::array<double, 3> variance_enu_m2{};
  int satellites = 0;

  [[nodiscard]] double axis(std::size_t i) const {
    return i == 0 ? offset.e_m : i == 1 ? offset.n_m : offset.u_m;
  }
};

// Share of the variance that is left of errors with an exponential memory in
// their mean over a time.
double share_left(double memory_s, double length_s) {
  const double x = length_s / memory_s;
  return 2 / x * (1 - (1 - std::exp(-x)) / x);
}

// Points that do not stand apart on any axis; all where every one does.
std::vector<Point> agreeing(const std::deque<Point>& points) {
  std::array<double, 3> centre{}, limit{};
  for (std::size_t i = 0; i < 3; ++i) {
    std::vector<double> values;
    values.reserve(points.size());
    for (const Point& p : points) {
      values.push_back(p.axis(i));
    }
    centre[i] = math::median(values);
    limit[i] = kApart * std::max(kLeastScatterM, math::robust_sigma(values));
  }
  std::vector<Point> kept;
  for (const Point& p : points) {
    bool near = true;
    for (std::size_t i = 0; i < 3; ++i) {
      near = near && std::abs(p.axis(i) - centre[i]) <= limit[i];
    }
    if (near) {
      kept.push_back(p);
    }
  }
  return kept.empty() ? std::vector<Point>(points.begin(), points.end()) : kept;
}

struct Mean {
  double value_m = 0, sigma_m = 0;
};

// Of one axis. An epoch's variance is the formal one, or their scatter where
// that is more.
Mean mean_of(const std::vector<Point>& points, std::size_t axis) {
  const auto n = static_cast<double>(points.size());
  double sum = 0, formal = 0, squares = 0;
  for (const Point& p : points) {
    sum += p.axis(axis);
    formal += p.variance_enu_m2[axis] / n;
  }
  for (const Point& p : points) {
    squares += std::pow(p.axis(axis) - sum / n, 2);
  }
  const double scatter = points.size() > 1 ? squares / (n - 1) : 0;
  const ErrorMemory memory;
  const double length_s = LivePosition::kStepS * n;
  const double share = (1 - memory.fast - memory.slow) / n +
                       memory.fast * share_left(kFastS, length_s) +
                       memory.slow * share_left(kSlowS, length_s);
  return {sum / n,
          std::sqrt(share * std::max(formal, scatter) +
                    kStandingM[axis] * kStandingM[axis])};
}

}  // namespace

struct LivePosition::State {
  CodeOptions options;
  SiteAtmosphere atmosphere;
  ErrorModel model;
  std::optional<Ecef> reference;  // near the antenna
  std::optional<GnssTime> tried;  // the last epoch
  std::deque<Point> points;       // of the last hour, about the reference
  int lost = 0;                   // epochs in a row
  std::vector<CodeMeasurement> measurements;

  bool is_due(GnssTime t);
  void solve(const Epoch& epoch, const OrbitSource& orbits);
};

bool LivePosition::State::is_due(GnssTime t) {
  if (tried && (*tried - t).s > kSetBackS) {
    points.clear();
  } else if (tried && (t - *tried).s < kStepS - kWalkS) {
    return false;
  }
  tried = t;
  while (!points.empty() && (t - points.front().time).s > kWindowS - kWalkS) {
    points.pop_front();
  }
  return true;
}

void LivePosition::State::solve(const Epoch& epoch, const OrbitSource& orbits) {
  CodeSession session;
  Counts counts;
  MeasureLog log{.counts = &counts};
  measure(epoch, orbits, options, session, log, measurements);
  if (!reference) {
    reference = first_position(measurements, epoch.time, options, session);
    if (!reference) {
      return;
    }
  }
  session.reference = *reference;
  linearise(measurements, epoch.time, options, atmosphere, session, log);
  const auto fix = solve_epoch(session, session.rows, model, 0, true);
  if (!fix) {
    return;
  }
  if (!(fix->dx_m.norm() < kLostM)) {
    if (++lost == kLostInARow) {
      lost = 0;
      reference.reset();
      points.clear();
    }
    return;
  }
  lost = 0;
  const Mat3& axes = atmosphere.enu_R_ecef();
  const Cov3 covariance =
      covariance_to_enu(axes, to_array(epoch_covariance(*fix, kZenithPriorM)));
  points.push_back(
      {.time = epoch.time,
       .offset = rotate(axes, {fix->dx_m.x(), fix->dx_m.y(), fix->dx_m.z()}),
       .variance_enu_m2 = {covariance[0], covariance[4], covariance[8]},
       .satellites = fix->satellites});
}

LivePosition::LivePosition(const CodeOptions& options)
    : state_(std::make_unique<State>()) {
  state_->options = options;
  state_->model.noise_factor.fill(kNoiseFactor);
}
LivePosition::~LivePosition() = default;
LivePosition::LivePosition(LivePosition&&) noexcept = default;
LivePosition& LivePosition::operator=(LivePosition&&) noexcept = default;

void LivePosition::add(const Epoch& epoch,
                       const OrbitSource& orbits,
                       const IonosphereParameters& ionosphere) {
  if (state_->is_due(epoch.time)) {
    state_->options.ionosphere = ionosphere;
    state_->solve(epoch, orbits);
  }
}

std::optional<LiveFix> LivePosition::fix() const {
  const State& s = *state_;
  if (s.points.empty()) {
    return std::nullopt;
  }
  const std::vector<Point> kept = agreeing(s.points);
  LiveFix fix{.antenna_m = {},
              .sigma_enu_m = {},
              .epochs = static_cast<int>(kept.size()),
              .satellites = kept.back().satellites,
              .first = kept.front().time,
              .last = kept.back().time};
  const Mean e = mean_of(kept, 0), n = mean_of(kept, 1), u = mean_of(kept, 2);
  fix.sigma_enu_m = {e.sigma_m, n.sigma_m, u.sigma_m};
  fix.antenna_m = *s.reference + rotate_back(s.atmosphere.enu_R_ecef(),
                                             {e.value_m, n.value_m, u.value_m});
  return fix;
}

}  // namespace stillpoint::solve
