#include "stillpoint/aids/antenna_patterns.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <span>
#include <utility>

#include "stillpoint/core/check.h"
#include "stillpoint/core/text.h"

namespace stillpoint {
namespace {

constexpr double kTurn = 2 * std::numbers::pi;

// Place between two neighbours of a row.
struct Place {
  std::size_t low = 0;
  double share = 0;  // of the upper neighbour
};

// `count` nodes at step 1 from 0; clamped.
Place place_of(double position, std::size_t count) {
  const double last = static_cast<double>(count - 1);
  const double inside = std::clamp(position, 0.0, last);
  // The last node belongs to the interval before it.
  const double low = std::min(std::floor(inside), std::max(last - 1, 0.0));
  return {static_cast<std::size_t>(low), inside - low};
}

double between(std::span<const float> row, const Place& place) {
  const double low = static_cast<double>(row[place.low]);
  if (place.share == 0) {
    return low;
  }
  return low + place.share * (static_cast<double>(row[place.low + 1]) - low);
}

bool fits(const AntennaPattern& antenna) {
  return std::all_of(antenna.frequencies.begin(),
                     antenna.frequencies.end(),
                     [&](const AntennaFrequency& f) {
                       const std::size_t width = f.by_zenith_m.size();
                       if (f.by_azimuth_m.empty()) {
                         return true;
                       }
                       return width > 0 && f.by_azimuth_m.size() % width == 0 &&
                              antenna.azimuth_step_rad > 0;
                     });
}

// The 16 columns of the type, without the radome.
std::string_view type_alone(std::string_view type) {
  return trim_right(columns(type, 0, 16));
}

// How long after its validity an instant is [s]; negative before, 0 inside.
double seconds_off(const AntennaPattern& antenna, GnssTime t) {
  if (antenna.valid_from && t < *antenna.valid_from) {
    return (t - *antenna.valid_from).s;
  }
  if (antenna.valid_until && *antenna.valid_until < t) {
    return (t - *antenna.valid_until).s;
  }
  return 0;
}

}  // namespace

const AntennaFrequency* AntennaPattern::frequency(System system,
                                                  int number) const {
  for (const AntennaFrequency& f : frequencies) {
    if (f.system == system && f.number == number) {
      return &f;
    }
  }
  return nullptr;
}

double AntennaPattern::variation_m(const AntennaFrequency& at,
                                   double zenith_rad,
                                   double azimuth_rad) const {
  STILLPOINT_CHECK(std::isfinite(zenith_rad) && std::isfinite(azimuth_rad));
  const std::size_t width = at.by_zenith_m.size();
  if (width == 0) {
    return 0;
  }
  const double position =
      zenith_step_rad > 0 ? (zenith_rad - zenith_first_rad) / zenith_step_rad
                          : 0.0;
  const Place zenith = place_of(position, width);
  if (at.by_azimuth_m.empty()) {
    return between(at.by_zenith_m, zenith);
  }
  double turned = std::fmod(azimuth_rad, kTurn);
  turned += turned < 0 ? kTurn : 0;
  const Place azimuth =
      place_of(turned / azimuth_step_rad, at.by_azimuth_m.size() / width);
  const std::span<const float> grid(at.by_azimuth_m);
  const double low = between(grid.subspan(azimuth.low * width, width), zenith);
  if (azimuth.share == 0) {
    return low;
  }
  const double high =
      between(grid.subspan((azimuth.low + 1) * width, width), zenith);
  return low + azimuth.share * (high - low);
}

double AntennaPattern::range_correction_m(
    const AntennaFrequency& at, const AntennaVector& line_of_sight) const {
  const AntennaVector& e = line_of_sight;
  const double across = std::hypot(e.north_or_x, e.east_or_y);
  const double zenith_rad = std::atan2(across, e.up_or_z);
  const double azimuth_rad = satellite ? std::atan2(e.north_or_x, e.east_or_y)
                                       : std::atan2(e.east_or_y, e.north_or_x);
  const double projected_m = e.north_or_x * at.offset_m.north_or_x +
                             e.east_or_y * at.offset_m.east_or_y +
                             e.up_or_z * at.offset_m.up_or_z;
  return variation_m(at, zenith_rad, azimuth_rad) - projected_m;
}

Status AntennaPatterns::add(AntennaProduct product) {
  if (!product.absolute) {
    return fail(ErrorCode::kUnsupported,
                "the patterns are relative to antenna '" +
                    product.reference_type + "'; only absolute ones are used",
                product.source,
                "Give a file of absolute calibrations (PCV TYPE 'A').");
  }
  for (const AntennaPattern& antenna : product.antennas) {
    STILLPOINT_CHECK(fits(antenna));
  }
  layers_.push_back(std::move(product.antennas));
  return ok();
}

const AntennaPattern* AntennaPatterns::satellite(SatId sat, GnssTime t) const {
  for (const std::vector<AntennaPattern>& layer : layers_) {
    for (const AntennaPattern& antenna : layer) {
      if (antenna.satellite == sat &&
          (!antenna.valid_from || *antenna.valid_from <= t) &&
          (!antenna.valid_until || t <= *antenna.valid_until)) {
        return &antenna;
      }
    }
  }
  return nullptr;
}

const AntennaPattern* AntennaPatterns::satellite_nearest(
    SatId sat, GnssTime t, double* days_off) const {
  constexpr double kDayS = 86'400;
  const AntennaPattern* nearest = nullptr;
  double nearest_s = 0;
  for (const std::vector<AntennaPattern>& layer : layers_) {
    for (const AntennaPattern& antenna : layer) {
      if (antenna.satellite != sat) {
        continue;
      }
      const double off_s = seconds_off(antenna, t);
      if (nearest == nullptr || std::abs(off_s) < std::abs(nearest_s)) {
        nearest = &antenna;
        nearest_s = off_s;
      }
    }
  }
  if (nearest != nullptr && days_off != nullptr) {
    *days_off = nearest_s / kDayS;
  }
  return nearest;
}

const AntennaPattern* AntennaPatterns::receiver(std::string_view type,
                                                std::string_view serial) const {
  if (trim(type).empty()) {
    return nullptr;  // satellites without a number have no type either
  }
  const auto find = [&](std::string_view wanted) -> const AntennaPattern* {
    for (const std::vector<AntennaPattern>& layer : layers_) {
      for (const AntennaPattern& antenna : layer) {
        if (!antenna.satellite && antenna.type == trim_right(type) &&
            antenna.serial == wanted) {
          return &antenna;
        }
      }
    }
    return nullptr;
  };
  const std::string_view own = trim(serial);
  if (!own.empty()) {
    if (const AntennaPattern* const found = find(own)) {
      return found;
    }
  }
  return find({});
}

std::vector<const AntennaPattern*> AntennaPatterns::receivers_of_type(
    std::string_view type_16_columns) const {
  std::vector<const AntennaPattern*> found;
  const std::string_view wanted = type_alone(type_16_columns);
  if (wanted.empty()) {
    return found;
  }
  for (const std::vector<AntennaPattern>& layer : layers_) {
    for (const AntennaPattern& antenna : layer) {
      if (!antenna.satellite && type_alone(antenna.type) == wanted) {
        found.push_back(&antenna);
      }
    }
  }
  return found;
}

std::size_t AntennaPatterns::size() const {
  std::size_t count = 0;
  for (const std::vector<AntennaPattern>& layer : layers_) {
    count += layer.size();
  }
  return count;
}

}  // namespace stillpoint
