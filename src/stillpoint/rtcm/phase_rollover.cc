#include "stillpoint/rtcm/phase_rollover.h"

#include <cmath>

namespace stillpoint::rtcm {
namespace {

constexpr double kStepCyc = 1500;

}  // namespace

double PhaseRollover::joined(SatId sat,
                             std::size_t band_slot,
                             double phase_cyc,
                             double code_cyc,
                             bool new_arc) {
  Arc& arc = arcs_[static_cast<std::size_t>(sat.index())][band_slot];
  const double sent_cyc = phase_cyc - code_cyc;
  if (!arc.known || new_arc) {
    arc = {sent_cyc, 0, true};
    return phase_cyc;
  }
  const double steps =
      std::round((arc.ahead_cyc - sent_cyc - arc.added_cyc) / kStepCyc);
  arc.added_cyc += steps * kStepCyc;
  arc.ahead_cyc = sent_cyc + arc.added_cyc;
  return phase_cyc + arc.added_cyc;
}

}  // namespace stillpoint::rtcm
