// A calendar reading belongs to a scale: it is converted before it is
// subtracted.
#include "stillpoint/time/scales.h"

using stillpoint::Calendar;
using stillpoint::Duration;
using stillpoint::GnssTime;

Duration since(GnssTime t, const Calendar& c) {
#ifdef MISTAKE
  return t - c;
#else
  return t - stillpoint::from_calendar(c, stillpoint::TimeScale::kUtc)
                 .value_or(GnssTime{});
#endif
}
