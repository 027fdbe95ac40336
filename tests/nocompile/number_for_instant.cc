// A bare number is no instant: the name of the factory says what it counts.
#include "stillpoint/time/gnss_time.h"

stillpoint::GnssTime read(long long ns) {
#ifdef MISTAKE
  return ns;
#else
  return stillpoint::GnssTime::from_ns(ns);
#endif
}
