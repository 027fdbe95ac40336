// Axes: ranges, and where ticks stand.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "stillpoint/time/gnss_time.h"

namespace stillpoint::plot {

// low < high, both finite. With an origin the values are seconds after it and
// the ticks are labelled in UTC.
struct Axis {
  std::string label;  // with the unit: "east, mm"
  double low = 0, high = 1;
  std::optional<GnssTime> origin;
};

// An axis of time from `first` to `last` (to a minute later where they are
// equal or reversed), labelled with the day on which it begins.
Axis time_axis(GnssTime first, GnssTime last);

// Ascending, inside the range, evenly spaced.
struct Ticks {
  std::vector<double> at;
  std::vector<std::string> labels;
};

// The smallest step of 1, 2 or 5 times a power of ten with which there are not
// too many. A range around zero always has the tick of zero.
//
//   low, high  low < high
//   most       >= 2: no more ticks than this
Ticks number_ticks(double low, double high, int most);

// Whole minutes, hours or days of UTC, in seconds after `origin`. "18:00"; a
// midnight after the first day by its date, "11-24". A leap second inside the
// range shifts what follows by a second.
Ticks time_ticks(GnssTime origin, double low_s, double high_s, int most);

Ticks ticks(const Axis& axis, int most);

// The next of 1, 2, 3, 4, 5, 6, 8 times a power of ten, not under a positive
// finite value: for the ends of axes.
double round_up(double value);

}  // namespace stillpoint::plot
