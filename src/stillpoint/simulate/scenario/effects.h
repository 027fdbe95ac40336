// Everything that a simulated world can have besides geometry and clocks that
// are known, by name: each can be left out, or be the only one.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string_view>

namespace stillpoint::simulate {

enum class Effect : std::uint8_t {
  kBroadcastOrbit,    // errors of broadcast orbits, and their rounding
  kBroadcastClock,    // errors of broadcast clocks
  kProductOrbits,     // errors of precise orbits
  kProductClocks,     // errors of precise clocks
  kClockWalk,         // satellite clocks wander
  kSatelliteBiases,   // code and phase biases of the satellites' signals
  kSatelliteAntenna,  // offsets and variations of their antennas
  kRelativity,        // periodic term of the satellites' clocks
  kShapiro,           // path delay by the Earth's mass
  kTroposphere,       // hydrostatic and wet delay
  kGradients,         // of the troposphere
  kIonosphere,        // first order
  kWaves,             // travelling disturbances of the ionosphere
  kScintillation,     // fades and phase jitter
  kSolidTide,         // of the Earth
  kOceanLoading,      // at the station
  kReceiverAntenna,   // offset and variation of the antenna
  kWindUp,            // of the phase
  kReceiverClock,     // the receiver's clock is off
  kReceiverBiases,    // code and phase biases of the receiver's signals
  kNoise,             // thermal, by C/N0
  kMultipath,         // from the reflecting planes
  kSkyline,           // what stands in the way
  kSlips,             // by chance and by the table
  kHalfCycles,        // open for a while after each lock
  kGaps,              // of the receiver, by the table
  kMotion,            // of the antenna, by the table
  kJamming,           // by the table
  // The biases of products make good what their clocks are wrong by for a day.
  kIntegerBiases,
};
inline constexpr int kEffectCount = 29;

struct EffectName {
  Effect effect;
  std::string_view name;
};
// All of them, in the order above.
std::span<const EffectName> effect_names();
std::optional<Effect> find_effect(std::string_view name);
std::string_view name_of(Effect effect);

class EffectSet {
 public:
  static EffectSet all() { return EffectSet((1u << kEffectCount) - 1); }
  EffectSet() = default;
  void add(Effect e) { bits_ |= bit(e); }
  void remove(Effect e) { bits_ &= ~bit(e); }
  [[nodiscard]] bool has(Effect e) const { return (bits_ & bit(e)) != 0; }
  friend bool operator==(const EffectSet&, const EffectSet&) = default;

 private:
  explicit EffectSet(std::uint32_t bits) : bits_(bits) {}
  static std::uint32_t bit(Effect e) { return 1u << static_cast<unsigned>(e); }
  std::uint32_t bits_ = 0;
};

}  // namespace stillpoint::simulate
