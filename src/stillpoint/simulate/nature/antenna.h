// Phase centres of the simulated world's receiver antennas: an offset and a
// smooth closed form over the hemisphere, to be evaluated exactly and to be
// sampled for a calibration file. Signs as in ANTEX 1.4: the offset projected
// on the line of sight shortens the measured range, the variation lengthens
// it.
#pragma once

#include <array>
#include <string_view>

#include "stillpoint/geo/coords.h"

namespace stillpoint::simulate {

// cos_m cos(m az) + sin_m sin(m az)
struct AzimuthTerm {
  double cos_m = 0, sin_m = 0;
};

// One carrier. The variation, 0 at the zenith, is with zenith angle z
//   sum over n = 1..4 of zenith_m[n-1] (1 - cos(n z))
//   + sin^2 z sum over m = 1..3 of azimuth term m.
struct AntennaBand {
  double frequency_hz = 0;
  Enu offset_m;  // of the mean phase centre above the reference point
  std::array<double, 4> zenith_m{};
  std::array<AzimuthTerm, 3> azimuth{};
};

inline constexpr int kAntennaBandCount = 4;
struct ReceiverAntenna {
  std::array<AntennaBand, kAntennaBandCount> bands{};
};

// The invented antenna SPDEMO-A1 (no radome): offsets of 50 to 90 mm up,
// variations of some millimetres.
ReceiverAntenna demo_antenna();
// Of a name as in files: SPDEMO-A2, taller and with a ripple of its own, or
// the first one under any other name.
ReceiverAntenna antenna_named(std::string_view type);

// The band that is nearest in frequency.
const AntennaBand& band_of(const ReceiverAntenna& antenna, double frequency_hz);
const AntennaBand& band_of(ReceiverAntenna&& antenna, double) = delete;

// Phase centre variation [m] towards a direction of the antenna's own frame
// (azimuth from its north mark).
double phase_variation_m(const AntennaBand& band, const AzEl& direction);

// What the antenna adds to the distance between its reference point and the
// satellite [m]: minus the projected offset, plus the variation.
//
//   threads   pure
double antenna_range_m(const AntennaBand& band, const AzEl& direction);

// The variation sampled as a calibration file has it: zenith angles 0, 5 .. 90
// degrees, azimuths 0, 5 .. 360 degrees [m].
struct AntennaGrid {
  static constexpr int kZenithCount = 19;
  static constexpr int kAzimuthCount = 73;
  static constexpr double kStepDeg = 5;
  std::array<double, kZenithCount> mean_m{};  // over azimuth ("NOAZI")
  std::array<std::array<double, kZenithCount>, kAzimuthCount> by_azimuth_m{};
};
AntennaGrid sample_grid(const AntennaBand& band);

}  // namespace stillpoint::simulate
