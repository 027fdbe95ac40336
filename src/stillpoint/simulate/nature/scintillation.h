// Fading and phase jitter of a signal behind a rough ionosphere.
#pragma once

#include "stillpoint/simulate/nature/random.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::simulate {

// How strong: s4 is the standard deviation of the received power over its
// mean, 0 .. 1.2; sigma_phi_rad that of the phase. 0 switches a part off.
struct ScintillationStrength {
  double s4 = 0;
  double sigma_phi_rad = 0;
  double power_correlation_s = 0.7;
  double phase_correlation_s = 5;
};

struct Scintillation {
  double power = 1;      // over its mean, at least 1e-3 (a fade of 30 dB)
  double phase_rad = 0;  // to be added to the phase on L1
};

// The state of one satellite's ray, on the frequency that the strength is
// given for.
//
//   key       one per satellite (sub_key)
//   source    power: Nakagami's distribution with m = 1/s4^2, its quantile by
//             Wilson & Hilferty, PNAS 17 (1931), p. 684; both from memory
//   accuracy  mean of the power 1 within 1 %, s4 within 5 % up to 0.8
//   threads   pure
Scintillation scintillation(const RandomKey& key,
                            GnssTime t,
                            const ScintillationStrength& strength);

// The strength on another frequency: s4 falls with f^-1.5, the phase with 1/f.
//
//   source    weak-scatter theory, common practice, no source
ScintillationStrength scale_scintillation(const ScintillationStrength& on_l1,
                                          double frequency_hz);

}  // namespace stillpoint::simulate
