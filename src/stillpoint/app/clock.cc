#include "stillpoint/app/clock.h"

#include "stillpoint/station/clock.h"

namespace stillpoint::app {

GnssTime now() {
  return station::wall_now();
}

}  // namespace stillpoint::app
