#include "stillpoint/models/tide_arguments.h"

#include <erfa.h>

#include <cmath>
#include <numbers>

#include "stillpoint/time/scales.h"

namespace stillpoint::models {
namespace {

constexpr double kDayS = 86'400;
constexpr double kCenturyDays = 36'525;
// 2000-01-01 12:00 read in GPST.
constexpr GnssTime kNoon2000 = GnssTime::from_ns(
    GnssTime::kNsPerS * 86'400 * 7'300 + GnssTime::kNsPerS * 43'200);

// Five angles of the Moon's and the Sun's paths.
struct Delaunay {
  double moon_anomaly = 0, sun_anomaly = 0, moon_from_node = 0, elongation = 0,
         node = 0;
};

// tau without the hour of the day, and the others.
TideArguments from_delaunay(const Delaunay& d) {
  const double moon = d.moon_from_node + d.node;
  const double sun = moon - d.elongation;
  return {-d.elongation,
          moon,
          sun,
          moon - d.moon_anomaly,
          -d.node,
          sun - d.sun_anomaly};
}

}  // namespace

double days_of_tt(GnssTime t) {
  return ((t - kNoon2000).s + kTtMinusGpstS) / kDayS;
}

double centuries_of_tt(GnssTime t) {
  return days_of_tt(t) / kCenturyDays;
}

double utc_second_of_day(GnssTime t) {
  const double s = t.tow_s() - gps_minus_utc_s(t);
  return s - kDayS * std::floor(s / kDayS);
}

TideArguments tide_arguments_rad(GnssTime t) {
  const double c = centuries_of_tt(t);
  TideArguments a = from_delaunay({.moon_anomaly = eraFal03(c),
                                   .sun_anomaly = eraFalp03(c),
                                   .moon_from_node = eraFaf03(c),
                                   .elongation = eraFad03(c),
                                   .node = eraFaom03(c)});
  a[0] += utc_second_of_day(t) / kDayS * 2 * std::numbers::pi;
  return a;
}

TideArguments tide_rates_rad_per_s() {
  // [arcsec a century]
  TideArguments rates = from_delaunay({.moon_anomaly = 1717915923.2178,
                                       .sun_anomaly = 129596581.0481,
                                       .moon_from_node = 1739527262.8478,
                                       .elongation = 1602961601.2090,
                                       .node = -6962890.5431});
  for (double& rate : rates) {
    rate *= std::numbers::pi / 648'000 / (kCenturyDays * kDayS);
  }
  rates[0] += 2 * std::numbers::pi / kDayS;
  return rates;
}

}  // namespace stillpoint::models
