#include "stillpoint/aids/precise_clocks.h"

#include <algorithm>
#include <cmath>

#include "stillpoint/core/check.h"

namespace stillpoint {
namespace {

constexpr double kJumpSigmas = 12;
constexpr double kLeastJumpS = 1e-10;
constexpr double kMedianOfNormal = 0.6745;  // of |x| at unit sigma
constexpr std::size_t kEnough = 8;

template <class T>
T median_of(std::vector<T>& values) {
  const auto middle =
      values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

}  // namespace

// Interval, wander and jumps. The steps between neighbours that are one
// nominal interval apart are looked at; a random walk of variance w^2 t has
// second differences of variance 2 w^2 T, and their median is deaf to jumps.
void PreciseClocks::study(const Layer& layer, Track& track) {
  const std::vector<ClockSample>& samples = track.samples;
  const auto time_ns = [&](std::size_t k) {
    return layer.epochs[samples[k].epoch].ns();
  };
  if (samples.size() < 2) {
    return;
  }
  std::vector<std::int64_t> gaps(samples.size() - 1);
  for (std::size_t k = 0; k < gaps.size(); ++k) {
    gaps[k] = time_ns(k + 1) - time_ns(k);
  }
  std::vector<std::int64_t> sorted = gaps;
  track.interval_ns = median_of(sorted);
  const std::int64_t step_ns = track.interval_ns;
  const auto step_s = [&](std::size_t k) {
    return samples[k + 1].clock_s - samples[k].clock_s;
  };
  std::vector<double> sizes;
  sizes.reserve(gaps.size());
  for (std::size_t k = 1; k < gaps.size(); ++k) {
    if (gaps[k - 1] == step_ns && gaps[k] == step_ns) {
      sizes.push_back(std::abs(step_s(k) - step_s(k - 1)));
    }
  }
  if (sizes.size() < kEnough) {
    return;
  }
  const double sigma_s = median_of(sizes) / kMedianOfNormal;
  track.wander = sigma_s / std::sqrt(2 * static_cast<double>(step_ns) * 1e-9);
  const double limit_s = std::max(kJumpSigmas * sigma_s, kLeastJumpS);
  for (std::size_t k = 0; k < gaps.size(); ++k) {
    const bool before = k > 0 && gaps[k - 1] == step_ns;
    const bool after = k + 1 < gaps.size() && gaps[k + 1] == step_ns;
    if (gaps[k] != step_ns || (!before && !after)) {
      continue;
    }
    const bool out_before =
        !before || std::abs(step_s(k) - step_s(k - 1)) > limit_s;
    const bool out_after =
        !after || std::abs(step_s(k) - step_s(k + 1)) > limit_s;
    if (out_before && out_after) {
      track.jumps.push_back(static_cast<std::uint32_t>(k));
    }
  }
}

void PreciseClocks::add(ClockProduct product) {
  Layer layer;
  layer.epochs = std::move(product.epochs);
  layer.wide_lane = std::move(product.wide_lane);
  STILLPOINT_CHECK(std::is_sorted(layer.epochs.begin(), layer.epochs.end()));
  for (ClockSeries& series : product.series) {
    if (!series.satellite || series.samples.empty()) {
      continue;
    }
    Track track;
    track.samples = std::move(series.samples);
    for (std::size_t k = 0; k < track.samples.size(); ++k) {
      STILLPOINT_CHECK(track.samples[k].epoch < layer.epochs.size());
      STILLPOINT_CHECK(k == 0 ||
                       track.samples[k - 1].epoch < track.samples[k].epoch);
    }
    study(layer, track);
    layer.tracks.emplace_back(*series.satellite, std::move(track));
  }
  std::sort(layer.tracks.begin(),
            layer.tracks.end(),
            [](const auto& a, const auto& b) { return a.first < b.first; });
  layers_.push_back(std::move(layer));
}

const PreciseClocks::Track* PreciseClocks::find(const Layer& layer, SatId sat) {
  const auto found = std::lower_bound(
      layer.tracks.begin(),
      layer.tracks.end(),
      sat,
      [](const auto& entry, SatId wanted) { return entry.first < wanted; });
  return found != layer.tracks.end() && found->first == sat ? &found->second
                                                            : nullptr;
}

std::optional<ClockValue> PreciseClocks::value_at(const Layer& layer,
                                                  const Track& track,
                                                  GnssTime t) {
  const auto after =
      std::upper_bound(track.samples.begin(),
                       track.samples.end(),
                       t,
                       [&](GnssTime wanted, const ClockSample& sample) {
                         return wanted < layer.epochs[sample.epoch];
                       });
  if (after == track.samples.begin()) {
    return std::nullopt;
  }
  const ClockSample& a = *(after - 1);
  const std::int64_t begin_ns = layer.epochs[a.epoch].ns();
  if (begin_ns == t.ns()) {
    return ClockValue{a.clock_s, a.sigma_s, 0};
  }
  if (after == track.samples.end()) {
    return std::nullopt;
  }
  const ClockSample& b = *after;
  const std::int64_t gap_ns = layer.epochs[b.epoch].ns() - begin_ns;
  const auto index =
      static_cast<std::uint32_t>(after - track.samples.begin() - 1);
  if (2 * gap_ns > 3 * track.interval_ns ||
      std::binary_search(track.jumps.begin(), track.jumps.end(), index)) {
    return std::nullopt;
  }
  const double gap = static_cast<double>(gap_ns);
  const double u = static_cast<double>(t.ns() - begin_ns) / gap;
  ClockValue value;
  value.clock_s = a.clock_s + u * (b.clock_s - a.clock_s);
  value.sigma_s = std::fmax(a.sigma_s, b.sigma_s);
  value.interpolation_sigma_s =
      track.wander * std::sqrt(u * (1 - u) * gap * 1e-9);
  return value;
}

std::optional<ClockValue> PreciseClocks::clock_at(SatId sat, GnssTime t) const {
  for (const Layer& layer : layers_) {
    if (const Track* const track = find(layer, sat)) {
      if (auto value = value_at(layer, *track, t)) {
        return value;
      }
    }
  }
  return std::nullopt;
}

std::optional<double> PreciseClocks::clock_s(SatId sat, GnssTime t) const {
  const auto value = clock_at(sat, t);
  return value ? std::optional(value->clock_s) : std::nullopt;
}

std::optional<double> PreciseClocks::interval_s(SatId sat) const {
  for (const Layer& layer : layers_) {
    const Track* const track = find(layer, sat);
    if (track != nullptr && track->interval_ns > 0) {
      return static_cast<double>(track->interval_ns) / 1e9;
    }
  }
  return std::nullopt;
}

std::optional<double> PreciseClocks::wander(SatId sat) const {
  for (const Layer& layer : layers_) {
    const Track* const track = find(layer, sat);
    if (track != nullptr && !std::isnan(track->wander)) {
      return track->wander;
    }
  }
  return std::nullopt;
}

std::optional<double> PreciseClocks::wide_lane_cyc(SatId sat,
                                                   GnssTime t,
                                                   char first_band,
                                                   char second_band) const {
  for (const Layer& layer : layers_) {
    if (layer.epochs.empty() || (layer.epochs.front() - t).s > kBiasEdgeS ||
        (t - layer.epochs.back()).s > kBiasEdgeS) {
      continue;
    }
    const WideLaneBias* nearest = nullptr;
    for (const WideLaneBias& bias : layer.wide_lane) {
      if (bias.sat == sat && bias.first_band == first_band &&
          bias.second_band == second_band &&
          (nearest == nullptr ||
           std::abs((bias.at - t).s) < std::abs((nearest->at - t).s))) {
        nearest = &bias;
      }
    }
    if (nearest != nullptr) {
      return nearest->bias_cyc;
    }
  }
  return std::nullopt;
}

bool PreciseClocks::has_wide_lane() const {
  return std::any_of(layers_.begin(), layers_.end(), [](const Layer& layer) {
    return !layer.wide_lane.empty();
  });
}

std::size_t PreciseClocks::jumps(SatId sat) const {
  std::size_t count = 0;
  for (const Layer& layer : layers_) {
    const Track* const track = find(layer, sat);
    count += track == nullptr ? 0 : track->jumps.size();
  }
  return count;
}

std::optional<GnssTime> PreciseClocks::first() const {
  std::optional<GnssTime> found;
  for (const Layer& layer : layers_) {
    if (!layer.epochs.empty() && (!found || layer.epochs.front() < *found)) {
      found = layer.epochs.front();
    }
  }
  return found;
}

std::optional<GnssTime> PreciseClocks::last() const {
  std::optional<GnssTime> found;
  for (const Layer& layer : layers_) {
    if (!layer.epochs.empty() && (!found || layer.epochs.back() > *found)) {
      found = layer.epochs.back();
    }
  }
  return found;
}

}  // namespace stillpoint
