// The sum of two instants means nothing; their difference is a Duration.
#include "stillpoint/time/gnss_time.h"

using stillpoint::Duration;
using stillpoint::GnssTime;

GnssTime later(GnssTime a, GnssTime b) {
#ifdef MISTAKE
  return a + b;
#else
  return a + (b - a);
#endif
}
