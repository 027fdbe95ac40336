// Orbits, clocks and code biases of products as one source of satellite
// states: positions from orbit files, clocks from clock files where there are
// any, else from the orbit files themselves.
#pragma once

#include <optional>
#include <string>

#include "stillpoint/aids/code_phase_biases.h"
#include "stillpoint/aids/precise_clocks.h"
#include "stillpoint/aids/precise_orbits.h"
#include "stillpoint/gnss/orbit_source.h"

namespace stillpoint {

// Clocks of two sources are never mixed: with clock files, a satellite that
// they do not have is kNoClock, whatever the orbit file says.
class PreciseSource final : public OrbitSource {
 public:
  PreciseOrbits orbits;
  PreciseClocks clocks;
  CodePhaseBiases biases;
  bool has_clocks = false;  // clock files were given
  bool has_biases = false;  // bias files were given

  [[nodiscard]] tl::expected<SatelliteState, NoState> state(
      SatId sat, GnssTime t) const override;
  // The observable's own bias where a bias file has it; else as PreciseOrbits.
  [[nodiscard]] std::optional<double> group_delay_s(
      SatId sat, GnssTime t, SignalCode signal) const override;
  [[nodiscard]] std::optional<int> glonass_channel(SatId sat) const override {
    return orbits.glonass_channel(sat);
  }
  [[nodiscard]] std::string frame_label() const override {
    return orbits.frame_label();
  }
};

}  // namespace stillpoint
