#include "stillpoint/simulate/output/truth_text.h"

#include <fmt/format.h>

#include <iterator>

#include "stillpoint/time/scales.h"

namespace stillpoint::simulate {
namespace {

constexpr double kDegree = 0.017453292519943295;

const SatelliteTerms* find(const EpochTerms& terms, SatId sat) {
  for (const SatelliteTerms& s : terms.satellites) {
    if (s.sat == sat) {
      return &s;
    }
  }
  return nullptr;
}

}  // namespace

std::string truth_heading() {
  return "time_gpst,arp_x_m,arp_y_m,arp_z_m,clock_s,moved_east_m,"
         "moved_north_m,moved_up_m,tide_x_m,tide_y_m,tide_z_m,loading_x_m,"
         "loading_y_m,loading_z_m,zenith_hydrostatic_m,zenith_wet_m\n";
}

void append_truth(const EpochTerms& t, std::string& out) {
  fmt::format_to(std::back_inserter(out),
                 "{},{:.4f},{:.4f},{:.4f},{:.12e},{:.4f},{:.4f},{:.4f},"
                 "{:.5f},{:.5f},{:.5f},{:.5f},{:.5f},{:.5f},{:.5f},{:.5f}\n",
                 format_gpst(t.time),
                 t.arp_m.x_m,
                 t.arp_m.y_m,
                 t.arp_m.z_m,
                 t.clock_s,
                 t.moved_m.e_m,
                 t.moved_m.n_m,
                 t.moved_m.u_m,
                 t.tide_m.x_m,
                 t.tide_m.y_m,
                 t.tide_m.z_m,
                 t.loading_m.x_m,
                 t.loading_m.y_m,
                 t.loading_m.z_m,
                 t.zenith_hydrostatic_m,
                 t.zenith_wet_m);
}

std::string terms_heading() {
  return "time_gpst,satellite,signal,azimuth_deg,elevation_deg,range_m,"
         "satellite_clock_m,relativity_m,shapiro_m,hydrostatic_m,wet_m,"
         "gradient_m,slant_tecu,satellite_antenna_m,wind_up_cyc,ionosphere_m,"
         "antenna_m,satellite_code_m,satellite_phase_cyc,receiver_code_m,"
         "receiver_phase_cyc,code_multipath_m,phase_multipath_m,code_noise_m,"
         "phase_noise_m,scintillation_m,ambiguity_cyc,cn0_dbhz,slipped,"
         "product_orbit_m,product_clock_m\n";
}

void append_terms(const EpochTerms& t, std::string& out) {
  const std::string time = format_gpst(t.time);
  for (const SignalTerms& s : t.signals) {
    const SatelliteTerms& v = *find(t, s.sat);
    fmt::format_to(
        std::back_inserter(out),
        "{},{},{},{:.4f},{:.4f},{:.4f},{:.4f},{:.5f},{:.5f},{:.5f},{:.5f},"
        "{:.5f},{:.4f},{:.5f},{:.5f},{:.5f},{:.5f},{:.4f},{:.4f},{:.4f},"
        "{:.4f},{:.4f},{:.5f},{:.4f},{:.5f},{:.5f},{:.1f},{:.2f},{},{:.4f},"
        "{:.4f}\n",
        time,
        s.sat.text(),
        s.signal.text(),
        v.direction.azimuth_rad / kDegree,
        v.direction.elevation_rad / kDegree,
        v.range_m,
        v.satellite_clock_m,
        v.relativity_m,
        v.shapiro_m,
        v.hydrostatic_m,
        v.wet_m,
        v.gradient_m,
        v.slant_tecu,
        v.satellite_antenna_m,
        v.wind_up_cyc,
        s.ionosphere_m,
        s.antenna_m,
        s.satellite_code_m,
        s.satellite_phase_cyc,
        s.receiver_code_m,
        s.receiver_phase_cyc,
        s.code_multipath_m,
        s.phase_multipath_m,
        s.code_noise_m,
        s.phase_noise_m,
        s.scintillation_m,
        s.ambiguity_cyc,
        s.cn0_dbhz,
        s.slipped ? 1 : 0,
        v.product_orbit_m,
        v.product_clock_m);
  }
}

}  // namespace stillpoint::simulate
