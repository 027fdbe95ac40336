// Test program: what our reader makes of a navigation file, one set a line for
// comparison with a general-purpose library. "-" is a value that is not there.
//
//   dump_navigation FILE [--break-field]
//   kepler SAT TOC TOE_TOW_S AF0 AF1 AF2 CRS DELTA_N M0 CUC E CUS SQRT_A CIC
//          OMEGA0 CIS I0 CRC OMEGA OMEGA_DOT IDOT IODE HEALTH DELAY0 DELAY1
//   state SAT TOE CLOCK CLOCK_RATE X Y Z VX VY VZ AX AY AZ CHANNEL HEALTH
//   end KEPLER_SETS STATE_SETS PROBLEMS
// SI units and radians, times in GPST. --break-field moves the tenth eccentric
// orbit by 1e-12. Exit: 0; 2 usage; 3 the file cannot be read.
#include <cstdio>
#include <initializer_list>
#include <string>
#include <string_view>
#include <utility>

#include "stillpoint/pack/byte_stream.h"
#include "stillpoint/rinex/navigation_reader.h"
#include "stillpoint/time/scales.h"

namespace {

using namespace stillpoint;

void print_values(std::initializer_list<double> values) {
  for (const double value : values) {
    if (is_present(value)) {
      std::printf(" %.17g", value);
    } else {
      std::fputs(" -", stdout);
    }
  }
  std::putchar('\n');
}

void print_set(const KeplerEphemeris& e) {
  std::printf("kepler %s %s", e.sat.text().c_str(), format_gpst(e.toc).c_str());
  print_values({e.toe.tow_s(),
                e.af0_s,
                e.af1_s_per_s,
                e.af2_s_per_s2,
                e.crs_m,
                e.delta_n_rad_per_s,
                e.m0_rad,
                e.cuc_rad,
                e.eccentricity,
                e.cus_rad,
                e.sqrt_a_sqrt_m,
                e.cic_rad,
                e.omega0_rad,
                e.cis_rad,
                e.i0_rad,
                e.crc_m,
                e.omega_rad,
                e.omega_dot_rad_per_s,
                e.idot_rad_per_s,
                static_cast<double>(e.iode),
                static_cast<double>(e.health),
                e.group_delay_s[0],
                e.group_delay_s[1]});
}

void print_set(const StateEphemeris& e) {
  std::printf("state %s %s", e.sat.text().c_str(), format_gpst(e.toe).c_str());
  print_values({e.clock_s,
                e.clock_rate,
                e.position_m.x_m,
                e.position_m.y_m,
                e.position_m.z_m,
                e.velocity_mps.x_m,
                e.velocity_mps.y_m,
                e.velocity_mps.z_m,
                e.acceleration_mps2.x_m,
                e.acceleration_mps2.y_m,
                e.acceleration_mps2.z_m,
                static_cast<double>(e.channel),
                static_cast<double>(e.health)});
}

}  // namespace

int main(int argc, char** argv) {
  const bool broken = argc == 3 && std::string_view(argv[2]) == "--break-field";
  if (argc != 2 && !broken) {
    std::fputs("usage: dump_navigation FILE [--break-field]\n", stderr);
    return 2;
  }
  auto stream = open_unpacked(argv[1]);
  auto file = stream ? rinex::read_navigation(std::move(*stream))
                     : fail(std::move(stream.error()));
  if (!file) {
    std::fprintf(stderr, "%s\n", file.error().text().c_str());
    return 3;
  }
  if (broken && file->data.kepler.size() >= 10) {
    file->data.kepler[9].eccentricity += 1e-12;
  }
  for (const KeplerEphemeris& set : file->data.kepler) {
    print_set(set);
  }
  for (const StateEphemeris& set : file->data.state) {
    print_set(set);
  }
  std::printf("end %zu %zu %zu\n",
              file->data.kepler.size(),
              file->data.state.size(),
              file->problem_count);
  return 0;
}
