#include "stillpoint/simulate/nature/noise.h"

#include <cmath>

namespace stillpoint::simulate {
namespace {

double power_ratio(double db) {
  return std::pow(10.0, db / 10);
}

}  // namespace

double code_sigma_m(const TrackingLoops& loops, double cn0_dbhz) {
  const double cn0 = power_ratio(cn0_dbhz);
  const double d = loops.spacing_chips;
  const double squaring = 1 + 2 / ((2 - d) * loops.integration_s * cn0);
  const double variance = loops.code_bandwidth_hz * d / (2 * cn0) * squaring;
  return loops.chip_m * std::sqrt(variance);
}

double phase_sigma_rad(const TrackingLoops& loops, double cn0_dbhz) {
  const double cn0 = power_ratio(cn0_dbhz);
  const double squaring = 1 + 1 / (2 * loops.integration_s * cn0);
  return std::sqrt(loops.phase_bandwidth_hz / cn0 * squaring);
}

double gain_db(const AntennaGain& gain, double elev_rad) {
  // A parabola in the sine of the elevation through zenith, horizon, nadir.
  const double bend = gain.nadir_db / 2 - gain.horizon_db;
  const double slope = gain.horizon_db - bend;
  const double down = 1 - std::sin(elev_rad);
  return (slope + bend * down) * down;
}

double open_sky_cn0_dbhz(double zenith_dbhz,
                         const AntennaGain& gain,
                         double elev_rad) {
  return zenith_dbhz + gain_db(gain, elev_rad);
}

}  // namespace stillpoint::simulate
