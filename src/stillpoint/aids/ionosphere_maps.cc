#include "stillpoint/aids/ionosphere_maps.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace stillpoint {
namespace {

constexpr double kPi = 3.14159265358979323846;
constexpr double kTurn = 2 * kPi;
constexpr double kDayS = 86'400;
constexpr double kLongestGapS = 4 * 3'600.0;
constexpr double kAngleNoise = 1e-9;  // of steps, in units of the step
constexpr double kSameLengthM = 0.5;

// A place between two nodes.
struct Between {
  std::size_t low = 0, high = 0;
  double u = 0;  // 0 at low
};

// `steps` counted from the first node.
std::optional<Between> place_of(double steps,
                                std::size_t count,
                                double beyond) {
  const double end = static_cast<double>(count - 1);
  if (!(steps >= -beyond && steps <= end + beyond)) {
    return std::nullopt;
  }
  const double inside = std::clamp(steps, 0.0, end);
  const auto low = static_cast<std::size_t>(inside);
  return Between{
      low, std::min(low + 1, count - 1), inside - static_cast<double>(low)};
}

// Whether the axis goes around the Earth: up to its first node (kept twice) or
// one step before it.
bool is_round(const GridAxis& axis) {
  const double steps = std::abs(kTurn / axis.step_rad);
  const double count = static_cast<double>(axis.count);
  return std::abs(count - 1 - steps) < 0.01 || std::abs(count - steps) < 0.01;
}

std::optional<Between> longitude_place(const GridAxis& axis, double lon_rad) {
  const double round = std::abs(kTurn / axis.step_rad);
  double steps = std::fmod((lon_rad - axis.first_rad) / axis.step_rad, round);
  if (steps < 0) {
    steps += round;
  }
  if (is_round(axis)) {
    const std::size_t count =
        static_cast<std::size_t>(std::llround(round));  // distinct nodes
    const auto low = static_cast<std::size_t>(steps) % count;
    return Between{low, (low + 1) % count, steps - std::floor(steps)};
  }
  // A node at the beginning may come out a whole turn further.
  if (round - steps < kAngleNoise) {
    steps = 0;
  }
  return place_of(steps, axis.count, kAngleNoise);
}

}  // namespace

Status IonosphereMaps::add(IonosphereProduct product) {
  if (product.maps.empty()) {
    return fail(ErrorCode::kNoData,
                "no map of the ionosphere",
                std::move(product.source));
  }
  const std::size_t nodes = product.latitude.count * product.longitude.count;
  bool whole = nodes > 0 && std::abs(product.latitude.step_rad) > 0 &&
               std::abs(product.longitude.step_rad) > 0;
  for (std::size_t k = 0; k < product.maps.size(); ++k) {
    const IonosphereMap& map = product.maps[k];
    whole = whole && map.tec_tecu.size() == nodes &&
            (map.rms_tecu.empty() || map.rms_tecu.size() == nodes) &&
            (k == 0 || product.maps[k - 1].time < map.time);
  }
  if (!whole) {
    return fail(ErrorCode::kBadFormat,
                "maps that do not fit their grid or do not ascend in time",
                std::move(product.source));
  }
  if (!products_.empty()) {
    const IonosphereShell& shell = products_.front().shell;
    if (!(std::abs(shell.base_radius_m - product.shell.base_radius_m) <
              kSameLengthM &&
          std::abs(shell.height_m - product.shell.height_m) < kSameLengthM)) {
      return fail(ErrorCode::kMixedInput,
                  "the maps lie on another shell than those of " +
                      products_.front().source,
                  std::move(product.source),
                  "Give maps of one agency only.");
    }
  }
  products_.push_back(std::move(product));
  return ok();
}

std::optional<double> IonosphereMaps::on_map(const IonosphereProduct& product,
                                             const IonosphereMap& map,
                                             Values values,
                                             const Place& at) {
  const GridAxis& latitude = product.latitude;
  const std::vector<float>& grid = map.*values;
  const double turned_rad =
      is_round(product.longitude) ? kTurn * (at.time - map.time).s / kDayS : 0;
  const double rows = (at.lat_rad - latitude.first_rad) / latitude.step_rad;
  const double edge_rad =
      latitude.first_rad +
      (rows < 0 ? 0.0
                : static_cast<double>(latitude.count - 1) * latitude.step_rad);
  const bool polar =
      std::abs(edge_rad) + std::abs(latitude.step_rad) > kPi / 2 - kAngleNoise;
  const auto row =
      place_of(rows, latitude.count, polar ? 1 + kAngleNoise : kAngleNoise);
  const auto column =
      longitude_place(product.longitude, at.lon_rad + turned_rad);
  if (!row || !column || grid.empty()) {
    return std::nullopt;
  }
  double sum = 0;
  const auto take = [&](std::size_t i, std::size_t j, double weight) {
    if (weight > 0) {
      sum +=
          weight * static_cast<double>(grid[i * product.longitude.count + j]);
    }
  };
  take(row->low, column->low, (1 - row->u) * (1 - column->u));
  take(row->low, column->high, (1 - row->u) * column->u);
  take(row->high, column->low, row->u * (1 - column->u));
  take(row->high, column->high, row->u * column->u);
  return std::isfinite(sum) ? std::optional(sum) : std::nullopt;
}

std::optional<double> IonosphereMaps::value(Values values,
                                            const Place& at) const {
  if (!std::isfinite(at.lat_rad) || !std::isfinite(at.lon_rad)) {
    return std::nullopt;
  }
  struct Found {
    const IonosphereProduct* product = nullptr;
    const IonosphereMap* map = nullptr;
  };
  const auto between = [&](const Found& a,
                           const Found& b) -> std::optional<double> {
    if (a.map == nullptr) {
      return std::nullopt;
    }
    if (a.map->time == at.time) {
      return on_map(*a.product, *a.map, values, at);
    }
    if (b.map == nullptr || (b.map->time - a.map->time).s > kLongestGapS) {
      return std::nullopt;
    }
    const auto early = on_map(*a.product, *a.map, values, at);
    const auto late = on_map(*b.product, *b.map, values, at);
    if (!early || !late) {
      return std::nullopt;
    }
    const double u = (at.time - a.map->time).s / (b.map->time - a.map->time).s;
    return *early + u * (*late - *early);
  };
  Found before, after;  // nearest of all products
  for (const IonosphereProduct& product : products_) {
    const auto next =
        std::upper_bound(product.maps.begin(),
                         product.maps.end(),
                         at.time,
                         [](GnssTime wanted, const IonosphereMap& map) {
                           return wanted < map.time;
                         });
    Found a, b;
    if (next != product.maps.begin()) {
      a = {&product, &*std::prev(next)};
      if (before.map == nullptr || a.map->time > before.map->time) {
        before = a;
      }
    }
    if (next != product.maps.end()) {
      b = {&product, &*next};
      if (after.map == nullptr || b.map->time < after.map->time) {
        after = b;
      }
    }
    if (const auto found = between(a, b)) {
      return found;
    }
  }
  return between(before, after);
}

std::optional<double> IonosphereMaps::vertical_tec(GnssTime t,
                                                   double lat_rad,
                                                   double lon_rad) const {
  return value(&IonosphereMap::tec_tecu, {t, lat_rad, lon_rad});
}

std::optional<double> IonosphereMaps::vertical_tec_rms(GnssTime t,
                                                       double lat_rad,
                                                       double lon_rad) const {
  return value(&IonosphereMap::rms_tecu, {t, lat_rad, lon_rad});
}

std::optional<IonosphereShell> IonosphereMaps::shell() const {
  return products_.empty() ? std::nullopt
                           : std::optional(products_.front().shell);
}

std::optional<GnssTime> IonosphereMaps::first() const {
  std::optional<GnssTime> found;
  for (const IonosphereProduct& product : products_) {
    const GnssTime begin = product.maps.front().time;
    found = found ? std::min(*found, begin) : begin;
  }
  return found;
}

std::optional<GnssTime> IonosphereMaps::last() const {
  std::optional<GnssTime> found;
  for (const IonosphereProduct& product : products_) {
    const GnssTime end = product.maps.back().time;
    found = found ? std::max(*found, end) : end;
  }
  return found;
}

}  // namespace stillpoint
