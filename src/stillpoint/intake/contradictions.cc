#include "stillpoint/intake/contradictions.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "stillpoint/time/scales.h"

namespace stillpoint::intake {
namespace {

// Both round to 0.1 mm.
constexpr double kSamePointM = 0.001;
// Smoothing and different signals of one frequency explain less.
constexpr double kSameRangeM = 30;
constexpr double kDayS = 86'400;

}  // namespace

void Contradictions::position(const rtcm::StationPosition& position, int type) {
  for (const auto& [other, point] : points_) {
    if (other != type) {
      apart_m_ = std::max(apart_m_, norm(position.arp_m - point));
    }
  }
  if (const auto last = points_.find(type); last != points_.end()) {
    moved_m_ = std::max(moved_m_, norm(position.arp_m - last->second));
  }
  points_[type] = position.arp_m;
}

void Contradictions::antenna(const rtcm::AntennaDescription& antenna,
                             int type) {
  antennas_[type] = antenna.descriptor;
}

void Contradictions::epoch(const Epoch& epoch, bool legacy) {
  Codes& codes = legacy ? legacy_ : msm_;
  codes.time = epoch.time;
  codes.m.clear();
  for (const SatRows& rows : epoch.satellites) {
    for (const Observation& row : epoch.rows(rows)) {
      if (row.signal.band == '1' && is_present(row.code_m)) {
        codes.m.emplace_back(rows.sat, row.code_m);
        break;
      }
    }
  }
  std::sort(codes.m.begin(), codes.m.end());
  if (msm_.time == legacy_.time) {
    compare(msm_, legacy_);
  }
}

void Contradictions::compare(const Codes& a, const Codes& b) {
  auto other = b.m.begin();
  for (const auto& [sat, code_m] : a.m) {
    while (other != b.m.end() && other->first < sat) {
      ++other;
    }
    if (other == b.m.end()) {
      return;
    }
    const double off_m = std::abs(code_m - other->second);
    if (other->first == sat && off_m > ranges_m_) {
      ranges_m_ = off_m;
      ranges_sat_ = sat;
    }
  }
}

void Contradictions::system_parameters(
    const rtcm::SystemParameters& parameters) {
  if (!parameters.leap_seconds) {
    return;
  }
  const GnssTime day = from_mjd(
      parameters.mjd + parameters.second_of_day / kDayS, TimeScale::kUtc);
  const int real = gps_minus_utc_s(day);
  leaps_.reset();
  if (*parameters.leap_seconds != real && day < leap_table_expires()) {
    leaps_ = {*parameters.leap_seconds, real};
  }
}

std::vector<std::string> Contradictions::found() const {
  std::vector<std::string> all;
  if (apart_m_ > kSamePointM) {
    all.push_back(fmt::format(
        "1005 and 1006 contradict each other: their points are {:.3f} m apart",
        apart_m_));
  }
  if (moved_m_ > kSamePointM) {
    all.push_back(fmt::format(
        "the coordinate changes while it is sent: by up to {:.3f} m",
        moved_m_));
  }
  for (auto a = antennas_.begin(); a != antennas_.end(); ++a) {
    const auto b =
        std::find_if(std::next(a), antennas_.end(), [&](auto& other) {
          return other.second != a->second;
        });
    if (b != antennas_.end()) {
      all.push_back(
          fmt::format("{} and {} contradict each other: they name different "
                      "antennas",
                      a->first,
                      b->first));
      break;
    }
  }
  if (ranges_m_ > kSameRangeM) {
    all.push_back(fmt::format(
        "MSM and the older observation messages contradict each other: the "
        "ranges of {} are {:.0f} m apart",
        ranges_sat_.text(),
        ranges_m_));
  }
  if (leaps_) {
    all.push_back(fmt::format(
        "1013 contradicts the calendar: {} leap seconds instead of {}",
        leaps_->first,
        leaps_->second));
  }
  return all;
}

}  // namespace stillpoint::intake
