// One broadcast set evaluated: where satellite G07 was at its reference time.
#include <cmath>
#include <cstdio>

#include "stillpoint/gnss/broadcast.h"

int main() {
  using namespace stillpoint;

  KeplerEphemeris e;  // as sent, in radians and metres
  e.sat = {System::kGps, 7};
  e.toe = e.toc = GnssTime::from_gps_week(2048, 288'000);
  e.sqrt_a_sqrt_m = 5153.599830627441;
  e.eccentricity = 0.012442796607501805;
  e.delta_n_rad_per_s = 4.419469802942352e-09;
  e.i0_rad = 0.9558937988021613;
  e.idot_rad_per_s = -2.4608167886110235e-10;
  e.omega0_rad = 1.0479401362158658;
  e.omega_dot_rad_per_s = -7.967117576712062e-09;
  e.omega_rad = -2.4719019944000538;
  e.m0_rad = -1.0899023379614294;
  e.cuc_rad = 4.3995678424835205e-06;
  e.cus_rad = 1.002475619316101e-05;
  e.crc_m = 183.40625;
  e.crs_m = 87.03125;
  e.cic_rad = 3.203749656677246e-07;
  e.cis_rad = 4.0978193283081055e-08;

  const SatelliteState s = evaluate(e, e.toe);
  std::printf("%s at second 288000 of week 2048\n", e.sat.text().c_str());
  std::printf("position  %.3f  %.3f  %.3f m\n",
              s.position_m.x_m,
              s.position_m.y_m,
              s.position_m.z_m);
  std::printf("velocity  %.3f  %.3f  %.3f m/s\n",
              s.velocity_mps.x_m,
              s.velocity_mps.y_m,
              s.velocity_mps.z_m);

  // kind: published   source: shared checks section 3.2, row G07 (elements
  // seen, position by an independent script)   tolerance: 1 mm, four decimals
  const Ecef expected{-4920702.5241, 24248099.1898, 9236131.5945};
  return norm(s.position_m - expected) < 1e-3 ? 0 : 1;
}
