// A world's truth as products say it: biases and antennas without an error but
// that of their digits; orbits and clocks with the errors of product_errors.h
// where the world has them.
#pragma once

#include "stillpoint/aids/antenna_patterns.h"
#include "stillpoint/aids/code_phase_biases.h"
#include "stillpoint/aids/precise_clocks.h"
#include "stillpoint/aids/precise_orbits.h"
#include "stillpoint/simulate/sky/sky.h"

namespace stillpoint::simulate {

// The frame of every coordinate in a world, by the label that products use.
// The world is invented; that its axes are those is said, not measured.
inline constexpr const char* kWorldFrame = "IGS20";
inline constexpr const char* kWorldAgency = "SIM";
// Says what a file is, in every file.
inline constexpr const char* kSimulatedNote =
    "SIMULATED DATA: no such station, antenna or satellite";

// Centres of mass, and clocks, every `interval_s` over [from, to].
PreciseProduct make_orbits(const Sky& sky,
                           GnssTime from,
                           GnssTime to,
                           double interval_s);
// Clocks against the usual references (precise_reference()).
ClockProduct make_clocks(const Sky& sky,
                         GnssTime from,
                         GnssTime to,
                         double interval_s);
// Code and phase of every signal, against the same.
BiasProduct make_biases(const Sky& sky, GnssTime from, GnssTime to);
// Of all satellites and of the receivers' antennas.
AntennaProduct make_antennas(const Sky& sky);

}  // namespace stillpoint::simulate
