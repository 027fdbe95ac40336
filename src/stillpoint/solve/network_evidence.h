// What own absolute positions of the known stations say about which known
// coordinate is wrong.
#pragma once

#include <cstddef>
#include <optional>
#include <string>

#include "stillpoint/solve/network_parts.h"

namespace stillpoint::solve {

// Whether all evidence fits together once one station's coordinate is taken to
// be wrong by what the others say: differences of what is left between two
// stations, in which the errors that the stations share cancel. False for
// evidence that contradicts itself or the ties.
bool evidence_agrees(const NetworkCase& c, std::size_t wrong);

// Minus twice the logarithm of the likelihood of the evidence, up to a
// constant, if that station's coordinate is the wrong one.
//
//   how   every station's own position should then miss where the station is
//         believed to be by one and the same common error (the methods' errors,
//         the frame of the orbits); the common error of the right hypothesis is
//         small. It is taken from a t distribution of four degrees of freedom
//         with the evidence's covariance, all of it common, not averaged away:
//         a common error of several sigma is rare and must not decide
double evidence_cost(const NetworkCase& c, std::size_t wrong);

// The stations' own positions against their known coordinates, for the
// sentence; "the own position of A (ppp-float) is 51 mm from its known
// coordinate (3 sigma: 24 mm), that of B …".
std::string evidence_text(const NetworkCase& c);

// Of one own position minus the known coordinate: chi-square of three.
double evidence_test(const NetworkCase& c, const KnownEvidence& e);

}  // namespace stillpoint::solve
