#include "stillpoint/aids/earth_orientation.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "stillpoint/time/scales.h"

namespace stillpoint {
namespace {

constexpr double kDayS = 86'400;
constexpr double kLongestGapS = 2 * kDayS;
constexpr double kLongestReachS = kDayS;
constexpr double kStepS = 0.5;  // half a leap second
constexpr double kTaiMinusGpstS = 19;

double tai_minus_utc_s(GnssTime t) {
  return kTaiMinusGpstS + static_cast<double>(gps_minus_utc_s(t));
}

bool is_finite(const EarthOrientation& value) {
  return std::isfinite(value.x_pole_rad) && std::isfinite(value.y_pole_rad) &&
         std::isfinite(value.ut1_minus_utc_s);
}

}  // namespace

Status EarthOrientationSeries::add(EarthOrientationProduct product) {
  const std::vector<EarthOrientationRow>& rows = product.rows;
  if (rows.empty()) {
    return fail(ErrorCode::kNoData,
                "no row of Earth orientation that can be used",
                std::move(product.source));
  }
  Layer layer;
  layer.nodes.reserve(rows.size());
  for (const EarthOrientationRow& row : rows) {
    const Node node{row.time,
                    row.value.x_pole_rad,
                    row.value.y_pole_rad,
                    row.value.ut1_minus_utc_s - tai_minus_utc_s(row.time)};
    if (!is_finite(row.value)) {
      return fail(
          ErrorCode::kBadFormat,
          "Earth orientation that is no number at " + format_utc(row.time),
          std::move(product.source));
    }
    if (!layer.nodes.empty()) {
      const Node& before = layer.nodes.back();
      const double gap_s = (node.time - before.time).s;
      if (gap_s <= 0) {
        return fail(ErrorCode::kBadFormat,
                    "the row of " + format_utc(row.time) +
                        " is not later than the one before",
                    std::move(product.source));
      }
      if (gap_s <= kLongestGapS &&
          std::abs(node.ut1_minus_tai_s - before.ut1_minus_tai_s) >= kStepS) {
        return fail(ErrorCode::kBadFormat,
                    "UT1-UTC steps before " + format_utc(row.time) +
                        ", where no leap second is known",
                    std::move(product.source),
                    "Fetch the file again, or update the program, which may "
                    "not know the newest leap second.");
      }
    }
    layer.nodes.push_back(node);
  }

  const EarthOrientationRow& last = rows.back();
  if (layer.nodes.size() > 1) {
    const Node& a = layer.nodes[layer.nodes.size() - 2];
    const Node& b = layer.nodes.back();
    const double gap_s = (b.time - a.time).s;
    if (gap_s <= kLongestGapS) {
      layer.x_rate = (b.x_rad - a.x_rad) / gap_s;
      layer.y_rate = (b.y_rad - a.y_rad) / gap_s;
      layer.ut1_rate = (b.ut1_minus_tai_s - a.ut1_minus_tai_s) / gap_s;
    }
  }
  if (std::isfinite(last.x_rate_rad_per_s) &&
      std::isfinite(last.y_rate_rad_per_s)) {
    layer.x_rate = last.x_rate_rad_per_s;
    layer.y_rate = last.y_rate_rad_per_s;
  }
  if (std::isfinite(last.lod_s)) {
    layer.ut1_rate = -last.lod_s / kDayS;
  }
  layers_.push_back(std::move(layer));
  return ok();
}

EarthOrientation EarthOrientationSeries::value_of(const Node& node) {
  return {node.x_rad,
          node.y_rad,
          node.ut1_minus_tai_s + tai_minus_utc_s(node.time)};
}

EarthOrientation EarthOrientationSeries::between(const Node& a,
                                                 const Node& b,
                                                 GnssTime t) {
  const double u = (t - a.time).s / (b.time - a.time).s;
  return value_of(
      {t,
       a.x_rad + u * (b.x_rad - a.x_rad),
       a.y_rad + u * (b.y_rad - a.y_rad),
       a.ut1_minus_tai_s + u * (b.ut1_minus_tai_s - a.ut1_minus_tai_s)});
}

std::optional<EarthOrientation> EarthOrientationSeries::beyond(
    const Layer& layer, GnssTime t) {
  const Node& last = layer.nodes.back();
  const double dt_s = (t - last.time).s;
  const double least_s = layer.nodes.size() == 1 ? -kLongestReachS : 0;
  if (dt_s < least_s || dt_s > kLongestReachS) {
    return std::nullopt;
  }
  return value_of({t,
                   last.x_rad + dt_s * layer.x_rate,
                   last.y_rad + dt_s * layer.y_rate,
                   last.ut1_minus_tai_s + dt_s * layer.ut1_rate});
}

std::optional<EarthOrientation> EarthOrientationSeries::at(GnssTime t) const {
  const Node* before = nullptr;  // nearest of all products, at t or earlier
  const Node* after = nullptr;
  for (const Layer& layer : layers_) {
    const auto next = std::upper_bound(
        layer.nodes.begin(),
        layer.nodes.end(),
        t,
        [](GnssTime wanted, const Node& node) { return wanted < node.time; });
    const Node* const a =
        next == layer.nodes.begin() ? nullptr : &*std::prev(next);
    const Node* const b = next == layer.nodes.end() ? nullptr : &*next;
    if (a != nullptr && layer.nodes.size() > 1) {
      if (a->time == t) {
        return value_of(*a);
      }
      if (b != nullptr && (b->time - a->time).s <= kLongestGapS) {
        return between(*a, *b, t);
      }
    }
    if (a != nullptr && (before == nullptr || a->time > before->time)) {
      before = a;
    }
    if (b != nullptr && (after == nullptr || b->time < after->time)) {
      after = b;
    }
  }
  if (before != nullptr && before->time == t) {
    return value_of(*before);
  }
  if (before != nullptr && after != nullptr &&
      (after->time - before->time).s <= kLongestGapS) {
    return between(*before, *after, t);
  }
  for (const Layer& layer : layers_) {
    if (const auto value = beyond(layer, t)) {
      return value;
    }
  }
  return std::nullopt;
}

std::optional<GnssTime> EarthOrientationSeries::first() const {
  std::optional<GnssTime> found;
  for (const Layer& layer : layers_) {
    const GnssTime begin = layer.nodes.front().time;
    found = found ? std::min(*found, begin) : begin;
  }
  return found;
}

std::optional<GnssTime> EarthOrientationSeries::last() const {
  std::optional<GnssTime> found;
  for (const Layer& layer : layers_) {
    const GnssTime end = layer.nodes.back().time;
    found = found ? std::max(*found, end) : end;
  }
  return found;
}

}  // namespace stillpoint
