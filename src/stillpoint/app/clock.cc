#include "stillpoint/app/clock.h"

#include <chrono>

#include "stillpoint/time/scales.h"

namespace stillpoint::app {

GnssTime now() {
  constexpr double kMjdOfUnixDay0 = 40'587;
  const std::chrono::duration<double, std::ratio<86'400>> days =
      std::chrono::system_clock::now().time_since_epoch();
  return from_mjd(kMjdOfUnixDay0 + days.count(), TimeScale::kUtc);
}

}  // namespace stillpoint::app
