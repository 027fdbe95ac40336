#include "stillpoint/station/clock.h"

#include "stillpoint/time/scales.h"

namespace stillpoint::station {
namespace {

constexpr double kMjdOfUnixDay0 = 40'587;

}  // namespace

GnssTime wall_now() {
  const std::chrono::duration<double, std::ratio<86'400>> days =
      std::chrono::system_clock::now().time_since_epoch();
  return from_mjd(kMjdOfUnixDay0 + days.count(), TimeScale::kUtc);
}

GnssTime from_unix_s(std::int64_t seconds) {
  constexpr double kDayS = 86'400;
  return from_mjd(kMjdOfUnixDay0 + static_cast<double>(seconds) / kDayS,
                  TimeScale::kUtc);
}

std::chrono::nanoseconds steady_now() {
  return std::chrono::steady_clock::now().time_since_epoch();
}

std::int64_t unix_now_s() {
  return std::chrono::duration_cast<std::chrono::seconds>(
             std::chrono::system_clock::now().time_since_epoch())
      .count();
}

}  // namespace stillpoint::station
