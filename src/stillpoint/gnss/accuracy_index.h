// Indices by which broadcast messages state their accuracy, and the metres
// they stand for.
#pragma once

#include <cstdint>

namespace stillpoint {

// User range accuracy of GPS, QZSS, NavIC and BeiDou, index 0 .. 15, nominal
// value: 2, 2.8, 4, 5.7, … as files write it.
//
//   returns  8192 m for 15 ("no prediction, at own risk"), the next step of the
//            formula, so that nobody weighs such a set like a good one
//   source   IS-GPS-200 20.3.3.3.1.3; BDS-SIS-ICD B1I 5.2.4.5
double ura_m(unsigned index);
// The index whose range of values (up to 2.4, 3.4, 4.85, … 6144 m) holds the
// accuracy; 15 above and where it is not known (NaN).
std::uint16_t ura_index(double accuracy_m);

// Signal in space accuracy of Galileo, index 0 .. 255.
//
//   returns  NaN for 255 (no prediction) and the spare 126 .. 254
//   source   Galileo OS SIS ICD 5.1.12
double sisa_m(unsigned index);
// The lowest index that promises no more than the accuracy; 255 above 6 m and
// where it is not known (NaN).
std::uint16_t sisa_index(double accuracy_m);

// Accuracy factor F_T of GLONASS-M, index 0 .. 15; NaN for 15.
//
//   source   GLONASS ICD table 4.4
double glonass_accuracy_m(unsigned index);
// The lowest index not better than the accuracy; 15 above 512 m and where it
// is not known (NaN).
std::uint16_t glonass_accuracy_index(double accuracy_m);

}  // namespace stillpoint
