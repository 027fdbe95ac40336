// A coordinate that leaves the program carries its frame and epoch.
#include "stillpoint/geo/coords.h"

using stillpoint::Ecef;
using stillpoint::FramedPosition;

FramedPosition publish(const Ecef& p, stillpoint::GnssTime epoch) {
#ifdef MISTAKE
  return p;
#else
  return FramedPosition{p, {"IGb14"}, epoch};
#endif
}
