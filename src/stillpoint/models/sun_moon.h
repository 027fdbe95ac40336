// Where the Sun and the Moon are, in Earth-fixed axes: they raise the tides,
// and satellites turn their panels to the Sun.
#pragma once

#include <vector>

#include "stillpoint/aids/earth_orientation.h"
#include "stillpoint/geo/coords.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::models {

// From the centre of the Earth, ITRS axes; where they are at the time, not
// where their light shows them.
struct SunMoon {
  Ecef sun_m, moon_m;
};

// Both at a time.
//
//   eop       what the default leaves out: 7e-5 of the distance by
//             UT1 - UTC = 0.9 s, 3e-6 by the pole
//   source    Earth's orbit: VSOP2000 fits of ERFA; Moon: Meeus, Astronomical
//             Algorithms (1998), by ERFA; axes: IAU 2006 precession,
//             IAU 2000B nutation, IAU 2000 Earth rotation
//   accuracy  Sun 1e-7 of its distance; Moon about 20 arcsec at worst (1e-4),
//             rms 5 (ERFA's documentation, from memory); 1e-4 of a tide is
//             0.04 mm
//   threads   pure; some 100 us
SunMoon sun_moon(GnssTime t, const EarthOrientation& eop = {});

// The same for many times in a span: places every hour in axes that do not turn
// with the day, interpolated and turned by the Earth's rotation.
class SunMoonTrack {
 public:
  // Only reads `eop`, which may be null (UT1 = UTC, no polar motion) and need
  // not outlive the call. Where the series has no value, the same is assumed.
  //
  //   first, last  in either order; some 100 us an hour between them. A span
  //                beyond 400 days is not prepared: at() works, slowly.
  SunMoonTrack(GnssTime first,
               GnssTime last,
               const EarthOrientationSeries* eop);

  // As sun_moon(), with the orientation of the time; outside the span with that
  // of its nearer end, at the price of sun_moon().
  //
  //   accuracy  1e-9 of the distance against sun_moon()
  //   threads   const; under 1 us inside the span
  [[nodiscard]] SunMoon at(GnssTime t) const;

 private:
  struct Orientation {
    double ut1_minus_gpst_s = 0, x_pole_rad = 0, y_pole_rad = 0;
    bool known = false;
  };
  struct Node {
    SunMoon cirs;
    Orientation orientation;
  };
  static Orientation orientation_at(GnssTime t,
                                    const EarthOrientationSeries* eop);
  static EarthOrientation as_eop(const Orientation& o, GnssTime t);

  GnssTime first_, last_;
  Orientation at_first_, at_last_;
  // From one node before first_ to one after last_; empty: not prepared.
  std::vector<Node> nodes_;
};

}  // namespace stillpoint::models
