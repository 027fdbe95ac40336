// Reflections from flat surfaces around the antenna, and what they do to code,
// phase and strength.
#pragma once

#include <cstddef>
#include <span>

#include "stillpoint/geo/coords.h"
#include "stillpoint/simulate/nature/noise.h"

namespace stillpoint::simulate {

// A flat reflector. Its normal points from the surface to the antenna:
// elevation pi/2 for the ground, 0 for a wall, with the azimuth in which the
// antenna lies as seen from the wall.
struct ReflectingPlane {
  const char* name = "";
  double normal_azimuth_rad = 0;
  double normal_elev_rad = 0;
  double distance_m = 0;  // from the plane to the antenna, along the normal
  // Which part of the plane reflects: directions from the antenna to the
  // point of reflection. The azimuth window runs clockwise from first to
  // last and may cross north; equal ends mean all around.
  double first_azimuth_rad = 0, last_azimuth_rad = 0;
  double lowest_elev_rad = -1.5707963267948966;
  double highest_elev_rad = 1.5707963267948966;
  double coefficient = 0;  // reflected over direct amplitude, 0 .. 1
  double phase_rad = 3.141592653589793;  // turn at the reflection
};

// One reflected ray beside the direct one.
struct Reflection {
  double path_m = 0;     // longer than the direct ray by
  double amplitude = 0;  // over the direct ray's; 0: there is none
  double phase_rad = 0;  // turn at the reflection
  AzEl ray;              // from the antenna to the point of reflection
};

// The reflected ray of a satellite; amplitude 0 when the satellite is behind
// the plane or the point of reflection outside the window. The antenna's gain
// towards the ray, over that towards the satellite, is in the amplitude.
//
//   source    image of the antenna: path 2 d (n s); for level ground 2 h sin e
//             (any textbook on multipath)
//   threads   pure
Reflection reflect(const ReflectingPlane& plane,
                   const AzEl& satellite,
                   const AntennaGain& gain);

// Error of the phase [m], positive when the phase range is too long:
// wavelength / 2 pi times atan2(sum a sin psi, 1 + sum a cos psi) with psi =
// 2 pi path / wavelength - phase, each a lessened by the correlation of a chip
// that comes late by the path.
//
//   source    Braasch in "Global Positioning System: Theory and Applications"
//             I (1996), chapter 14 (from memory)
//   accuracy  below a quarter wavelength while the amplitudes sum to less
//             than 1
double phase_error_m(std::span<const Reflection> reflections,
                     double wavelength_m,
                     const TrackingLoops& loops);

// Change of the signal's strength [dB]: 20 log10 of the length of the same
// sum, at least -30.
double strength_change_db(std::span<const Reflection> reflections,
                          double wavelength_m,
                          const TrackingLoops& loops);

// As many rays as code_error_m takes.
inline constexpr std::size_t kMostReflections = 8;

// Error of the code [m], positive when too long: zero of a coherent
// early-minus-late discriminator on triangular correlation peaks, the carrier
// loop following the sum of all rays. Never more than half the spacing.
//
//   source    van Dierendonck, Fenton, Ford, Navigation 39 (1992), p. 265
//             (from memory)
//   accuracy  1e-4 m of the zero; no limits of the bandwidth, no side lobes of
//             subcarriers
double code_error_m(std::span<const Reflection> reflections,
                    double wavelength_m,
                    const TrackingLoops& loops);

}  // namespace stillpoint::simulate
