#include "stillpoint/aids/orbit_series.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <span>

namespace stillpoint::aids {
namespace {

template <std::size_t N>
using RowOf = std::array<double, N>;
using Row = RowOf<kWindow>;

template <std::size_t N>
constexpr RowOf<N> uniform_nodes() {
  RowOf<N> nodes{};
  for (std::size_t j = 0; j < N; ++j) {
    nodes[j] = static_cast<double>(j);
  }
  return nodes;
}

// 1 / product over k != j of (node j - node k).
template <std::size_t N>
constexpr RowOf<N> inverse_denominators(const RowOf<N>& nodes) {
  RowOf<N> inverse{};
  for (std::size_t j = 0; j < N; ++j) {
    double product = 1;
    for (std::size_t k = 0; k < N; ++k) {
      product *= k == j ? 1.0 : nodes[j] - nodes[k];
    }
    inverse[j] = 1.0 / product;
  }
  return inverse;
}

constexpr Row kUniformNodes = uniform_nodes<kWindow>();
constexpr Row kUniformInverse = inverse_denominators(kUniformNodes);
constexpr RowOf<kWindow + 1> kUniformInverse12 =
    inverse_denominators(uniform_nodes<kWindow + 1>());

// Times of the samples in units of `step`, from the first of them.
template <std::size_t N>
RowOf<N> nodes_of(const OrbitSample* samples, double step) {
  RowOf<N> nodes{};
  for (std::size_t j = 0; j < N; ++j) {
    nodes[j] =
        static_cast<double>(samples[j].time_ns - samples[0].time_ns) / step;
  }
  return nodes;
}

// Length of the divided difference over all the samples.
template <std::size_t N>
double divided_difference_m(const OrbitSample* samples,
                            const RowOf<N>& inverse) {
  Ecef sum;
  for (std::size_t j = 0; j < N; ++j) {
    sum =
        sum + inverse[j] * Ecef{samples[j].x_m, samples[j].y_m, samples[j].z_m};
  }
  return norm(sum);
}

// Lagrange's basis polynomials at s and their derivatives, by products from
// both sides: no division, so exact at a node as well. Returns the product of
// all distances to the nodes.
double lagrange(
    const Row& nodes, const Row& inverse, double s, Row& value, Row& slope) {
  Row after{}, after_slope{};
  after[kWindow - 1] = 1;
  for (std::size_t j = kWindow - 1; j > 0; --j) {
    const double factor = s - nodes[j];
    after[j - 1] = after[j] * factor;
    after_slope[j - 1] = after_slope[j] * factor + after[j];
  }
  double before = 1;
  double before_slope = 0;
  for (std::size_t j = 0; j < kWindow; ++j) {
    value[j] = before * after[j] * inverse[j];
    slope[j] = (before_slope * after[j] + before * after_slope[j]) * inverse[j];
    const double factor = s - nodes[j];
    before_slope = before_slope * factor + before;
    before *= factor;
  }
  return before;
}

bool is_uniform(std::span<const OrbitSample> window, std::int64_t step_ns) {
  for (std::size_t j = 1; j < window.size(); ++j) {
    if (window[j].time_ns - window[j - 1].time_ns != step_ns) {
      return false;
    }
  }
  return true;
}

}  // namespace

std::ptrdiff_t OrbitSeries::last_before(std::int64_t time_ns) const {
  if (samples_.empty() || time_ns < samples_.front().time_ns) {
    return -1;
  }
  const std::size_t last = samples_.size() - 1;
  // Where it is when the samples have no gap.
  const auto guess = static_cast<std::size_t>(
      (time_ns - samples_.front().time_ns) / samples_.front().interval_ns);
  if (guess < last && samples_[guess].time_ns <= time_ns &&
      time_ns < samples_[guess + 1].time_ns) {
    return static_cast<std::ptrdiff_t>(guess);
  }
  const auto after = std::upper_bound(
      samples_.begin(),
      samples_.end(),
      time_ns,
      [](std::int64_t t, const OrbitSample& s) { return t < s.time_ns; });
  return after - samples_.begin() - 1;
}

bool OrbitSeries::window_for(std::int64_t time_ns, std::size_t& first) const {
  if (samples_.empty()) {
    return false;
  }
  const std::ptrdiff_t before = last_before(time_ns);
  // The nearer of the two neighbours; beyond both ends there is only one.
  auto nearest = static_cast<std::size_t>(std::max<std::ptrdiff_t>(before, 0));
  const std::size_t next = static_cast<std::size_t>(before + 1);
  if (before >= 0 && next < samples_.size()) {
    const std::int64_t to_next = samples_[next].time_ns - time_ns;
    const std::int64_t to_before = time_ns - samples_[nearest].time_ns;
    if (samples_[next].manoeuvre && to_before > 0) {
      return false;
    }
    if (to_next < to_before) {
      nearest = next;
    }
  }
  const OrbitSample& centre = samples_[nearest];
  const std::size_t begin = centre.run_begin;
  const std::size_t end = centre.run_end;
  if (end - begin < kWindow) {
    return false;
  }
  const OrbitSample& newest = samples_[end - 1];
  if (time_ns < samples_[begin].time_ns - samples_[begin].interval_ns ||
      time_ns > newest.time_ns + newest.interval_ns) {
    return false;
  }
  constexpr std::size_t kHalf = kWindow / 2;
  const std::size_t wanted = nearest < begin + kHalf ? begin : nearest - kHalf;
  first = std::min(wanted, end - kWindow);
  return true;
}

bool OrbitSeries::orbit_at(std::int64_t time_ns, OrbitPoint& out) const {
  std::size_t first = 0;
  if (!window_for(time_ns, first)) {
    return false;
  }
  const std::span<const OrbitSample> window(samples_.data() + first, kWindow);
  const std::int64_t step_ns = window[1].time_ns - window[0].time_ns;
  const double step = static_cast<double>(step_ns);
  const double s = static_cast<double>(time_ns - window[0].time_ns) / step;
  Row value, slope;
  double distances = 0;
  if (is_uniform(window, step_ns)) {
    distances = lagrange(kUniformNodes, kUniformInverse, s, value, slope);
  } else {
    const Row nodes = nodes_of<kWindow>(window.data(), step);
    distances = lagrange(nodes, inverse_denominators(nodes), s, value, slope);
  }
  out = OrbitPoint{};
  for (std::size_t j = 0; j < kWindow; ++j) {
    const Ecef p{window[j].x_m, window[j].y_m, window[j].z_m};
    out.position_m = out.position_m + value[j] * p;
    out.velocity_mps = out.velocity_mps + slope[j] * p;
    out.amplification += value[j] * value[j];
    out.predicted = out.predicted || window[j].predicted;
  }
  out.velocity_mps = (1e9 / step) * out.velocity_mps;
  out.remainder_m =
      static_cast<double>(window[0].remainder_m) * std::abs(distances);
  return true;
}

bool OrbitSeries::clock_at(std::int64_t time_ns, ClockPoint& out) const {
  const std::ptrdiff_t before = last_before(time_ns);
  if (before < 0) {
    return false;
  }
  const OrbitSample& a = samples_[static_cast<std::size_t>(before)];
  if (std::isnan(a.clock_s)) {
    return false;
  }
  if (a.time_ns == time_ns) {
    out = {.clock_s = a.clock_s, .bridge_s = 0, .predicted = a.predicted};
    return true;
  }
  const std::size_t next = static_cast<std::size_t>(before) + 1;
  if (next >= samples_.size()) {
    return false;
  }
  const OrbitSample& b = samples_[next];
  const std::int64_t gap_ns = b.time_ns - a.time_ns;
  if (std::isnan(b.clock_s) || b.clock_event || a.agency != b.agency ||
      gap_ns > std::max(a.interval_ns, b.interval_ns)) {
    return false;
  }
  const double gap = static_cast<double>(gap_ns);
  const double u = static_cast<double>(time_ns - a.time_ns) / gap;
  out = {.clock_s = a.clock_s + u * (b.clock_s - a.clock_s),
         .bridge_s = u * (1 - u) * gap * 1e-9,
         .predicted = a.predicted || b.predicted};
  return true;
}

void OrbitSeries::merge(const std::vector<OrbitSample>& more) {
  std::vector<OrbitSample> all;
  all.reserve(samples_.size() + more.size());
  std::size_t i = 0;
  for (const OrbitSample& sample : more) {
    for (; i < samples_.size() && samples_[i].time_ns <= sample.time_ns; ++i) {
      all.push_back(samples_[i]);
    }
    if (i > 0) {
      const OrbitSample& before = samples_[i - 1];
      const bool same = before.time_ns == sample.time_ns;
      const bool covered =
          i < samples_.size() &&
          samples_[i].time_ns - before.time_ns <=
              std::max(before.interval_ns, samples_[i].interval_ns);
      if (same || covered) {
        continue;
      }
    }
    if (all.empty() || all.back().time_ns < sample.time_ns) {
      all.push_back(sample);
    }
  }
  all.insert(all.end(),
             samples_.begin() + static_cast<std::ptrdiff_t>(i),
             samples_.end());
  samples_ = std::move(all);
  find_runs();
  estimate_remainders();
  estimate_wander();
}

// A run ends at a gap of more than one missing sample and at a manoeuvre.
void OrbitSeries::find_runs() {
  std::size_t begin = 0;
  for (std::size_t k = 1; k <= samples_.size(); ++k) {
    if (k < samples_.size()) {
      const OrbitSample& a = samples_[k - 1];
      const OrbitSample& b = samples_[k];
      const std::int64_t limit_ns = 2 * std::max(a.interval_ns, b.interval_ns);
      if (!b.manoeuvre && b.time_ns - a.time_ns <= limit_ns) {
        continue;
      }
    }
    for (std::size_t j = begin; j < k; ++j) {
      samples_[j].run_begin = static_cast<std::uint32_t>(begin);
      samples_[j].run_end = static_cast<std::uint32_t>(k);
    }
    begin = k;
  }
}

// The polynomial's error at s is f^(11) / 11! times the product of the
// distances, and f^(11) / 11! is what the divided difference over one sample
// more amounts to.
double OrbitSeries::remainder_from(std::size_t first) const {
  const std::size_t begin = samples_[first].run_begin;
  const std::size_t end = samples_[first].run_end;
  const double step = static_cast<double>(samples_[first + 1].time_ns -
                                          samples_[first].time_ns);
  if (end - begin == kWindow) {
    // No sample more: the tenth difference, of which the eleventh is at most
    // a tenth (n h / 11 even of short intervals and eccentric orbits).
    const Row nodes = nodes_of<kWindow>(&samples_[first], step);
    return 0.1 *
           divided_difference_m(&samples_[first], inverse_denominators(nodes));
  }
  const std::size_t from = first + kWindow < end ? first : first - 1;
  const std::span<const OrbitSample> twelve(&samples_[from], kWindow + 1);
  if (is_uniform(twelve, twelve[1].time_ns - twelve[0].time_ns)) {
    return divided_difference_m(twelve.data(), kUniformInverse12);
  }
  return divided_difference_m(
      twelve.data(),
      inverse_denominators(nodes_of<kWindow + 1>(twelve.data(), step)));
}

void OrbitSeries::estimate_remainders() {
  for (std::size_t first = 0; first < samples_.size(); ++first) {
    OrbitSample& sample = samples_[first];
    if (first + kWindow <= sample.run_end) {
      sample.remainder_m = static_cast<float>(remainder_from(first));
    }
  }
}

// A random walk of variance w^2 t has second differences of variance 2 w^2 T
// at spacing T; their median makes the estimate deaf to jumps, and drift and
// offset of the clock drop out.
void OrbitSeries::estimate_wander() {
  constexpr std::size_t kEnough = 8;
  constexpr double kMedianOfNormal = 0.6745;  // of |x| at unit sigma
  std::vector<double> walks;
  walks.reserve(samples_.size());
  for (std::size_t k = 2; k < samples_.size(); ++k) {
    const OrbitSample& a = samples_[k - 2];
    const OrbitSample& b = samples_[k - 1];
    const OrbitSample& c = samples_[k];
    const std::int64_t step_ns = b.time_ns - a.time_ns;
    const double difference_s =
        (c.clock_s - b.clock_s) - (b.clock_s - a.clock_s);
    if (c.time_ns - b.time_ns == step_ns && step_ns == b.interval_ns &&
        a.agency == c.agency && a.agency == b.agency && !b.clock_event &&
        !c.clock_event && !std::isnan(difference_s)) {
      const double step_s = static_cast<double>(step_ns) * 1e-9;
      walks.push_back(std::abs(difference_s) / std::sqrt(2 * step_s));
    }
  }
  clock_wander_ = kMissing;
  if (walks.size() >= kEnough) {
    const auto middle =
        walks.begin() + static_cast<std::ptrdiff_t>(walks.size() / 2);
    std::nth_element(walks.begin(), middle, walks.end());
    clock_wander_ = *middle / kMedianOfNormal;
  }
}

}  // namespace stillpoint::aids
