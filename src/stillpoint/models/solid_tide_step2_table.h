// How the response of the solid Earth to single tides departs from the nominal
// Love numbers: step 2 of the displacement.
//   source: shared/models/solid_tide_step2.csv, row for row (IERS
//           Conventions (2010), tables 7.3a and 7.3b, extended as in the
//           routine DEHANTTIDEINEL)
// The routine's 1000 published results (tests/vectors/solid_tide_1000.txt) are
// missed by up to 0.1 mm; a fit to them would change twelve rows, by 0.02 mm or
// one multiplier. The rows stay as listed, so that those results remain a check
// from outside.
#pragma once

#include <array>

#include "stillpoint/models/tide_arguments.h"

namespace stillpoint::models {

// Doodson multipliers of tau, s, h, p, N', ps; corrections [mm].
struct LoveCorrection {
  Doodson doodson{};
  double radial_in_mm = 0;       // in phase with the tide
  double radial_out_mm = 0;      // a quarter period away
  double transverse_in_mm = 0;   // in phase
  double transverse_out_mm = 0;  // a quarter period away
};

// Tides of about a day.
inline constexpr std::array<LoveCorrection, 31> kDiurnalCorrections{{
    {{1, -3, 0, 2, 0, 0}, -0.01, -0.01, 0, 0},        // 125755
    {{1, -3, 2, 0, 0, 0}, -0.01, -0.01, 0, 0},        // 127555
    {{1, -2, 0, 1, -1, 0}, -0.02, -0.01, 0, 0},       // 135645
    {{1, -2, 0, 1, 0, 0}, -0.08, 0, 0.01, 0.01},      // 135655
    {{1, -2, 2, -1, 0, 0}, -0.02, -0.01, 0, 0},       // 137455
    {{1, -1, 0, 0, -1, 0}, -0.1, 0, 0, 0},            // 145545
    {{1, -1, 0, 0, 0, 0}, -0.51, 0, -0.02, 0.03},     // 145555
    {{1, -1, 2, 0, 0, 0}, 0.01, 0, 0, 0},             // 147555
    {{1, 0, -2, 1, 0, 0}, 0.01, 0, 0, 0},             // 153655
    {{1, 0, 0, -1, 0, 0}, 0.02, 0.01, 0, 0},          // 155455
    {{1, 0, 0, 1, 0, 0}, 0.06, 0, 0, 0},              // 155655
    {{1, 0, 0, 1, 1, 0}, 0.01, 0, 0, 0},              // 155665
    {{1, 0, 2, -1, 0, 0}, 0.01, 0, 0, 0},             // 157455
    {{1, 1, -3, 0, 0, 1}, -0.06, 0, 0, 0},            // 162556
    {{1, 1, -2, 0, 1, 0}, 0.01, 0, 0, 0},             // 163565
    {{1, 1, -2, 0, 0, 0}, -1.23, -0.07, 0.06, 0.01},  // 163555
    {{1, 1, -1, 0, 0, -1}, 0.02, 0, 0, 0},            // 164554
    {{1, 1, -1, 0, 0, 1}, 0.04, 0, 0, 0},             // 164556
    {{1, 1, 0, 0, -1, 0}, -0.22, 0.01, 0.01, 0},      // 165545
    {{1, 1, 0, 0, 0, 0}, 12, -0.78, -0.67, -0.03},    // 165555
    {{1, 1, 0, 0, 1, 0}, 1.73, -0.12, -0.1, 0},       // 165565
    {{1, 1, 0, 0, 2, 0}, -0.04, 0, 0, 0},             // 165575
    {{1, 1, 1, 0, 0, -1}, -0.5, -0.01, 0.03, 0},      // 166554
    {{1, 1, 1, 0, 0, 1}, 0.01, 0, 0, 0},              // 166556
    {{1, 1, 1, 0, 1, -1}, -0.01, 0, 0, 0},            // 166564
    {{1, 1, 2, -2, 0, 0}, -0.01, 0, 0, 0},            // 167355
    {{1, 1, 2, 0, 0, 0}, -0.11, 0.01, 0.01, 0},       // 167555
    {{1, 2, -2, 1, 0, 0}, -0.01, 0, 0, 0},            // 173655
    {{1, 2, 0, -1, 0, 0}, -0.02, 0.02, 0, 0.01},      // 175455
    {{1, 3, 0, 0, 0, 0}, 0, 0.01, 0, 0.01},           // 185555
    {{1, 3, 0, 0, 1, 0}, 0, 0.01, 0, 0},              // 185565
}};

// Tides of two weeks to 18.6 years.
inline constexpr std::array<LoveCorrection, 5> kLongPeriodCorrections{{
    {{0, 0, 0, 0, 1, 0}, 0.47, 0.16, 0.23, 0.07},       // 55565
    {{0, 0, 2, 0, 0, 0}, -0.2, -0.11, -0.12, -0.05},    // 57555
    {{0, 1, 0, -1, 0, 0}, -0.11, -0.09, -0.08, -0.04},  // 65455
    {{0, 2, 0, 0, 0, 0}, -0.13, -0.15, -0.11, -0.07},   // 75555
    {{0, 2, 0, 0, 1, 0}, -0.05, -0.06, -0.05, -0.03},   // 75565
}};

}  // namespace stillpoint::models
