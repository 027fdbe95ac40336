#include "stillpoint/simulate/scenario/effects.h"

#include <array>

namespace stillpoint::simulate {
namespace {

constexpr std::array<EffectName, kEffectCount> kNames{{
    {Effect::kBroadcastOrbit, "broadcast-orbit"},
    {Effect::kBroadcastClock, "broadcast-clock"},
    {Effect::kProductOrbits, "product-orbits"},
    {Effect::kProductClocks, "product-clocks"},
    {Effect::kClockWalk, "clock-walk"},
    {Effect::kSatelliteBiases, "satellite-biases"},
    {Effect::kSatelliteAntenna, "satellite-antenna"},
    {Effect::kRelativity, "relativity"},
    {Effect::kShapiro, "shapiro"},
    {Effect::kTroposphere, "troposphere"},
    {Effect::kGradients, "gradients"},
    {Effect::kIonosphere, "ionosphere"},
    {Effect::kWaves, "waves"},
    {Effect::kScintillation, "scintillation"},
    {Effect::kSolidTide, "solid-tide"},
    {Effect::kOceanLoading, "ocean-loading"},
    {Effect::kReceiverAntenna, "receiver-antenna"},
    {Effect::kWindUp, "wind-up"},
    {Effect::kReceiverClock, "receiver-clock"},
    {Effect::kReceiverBiases, "receiver-biases"},
    {Effect::kNoise, "noise"},
    {Effect::kMultipath, "multipath"},
    {Effect::kSkyline, "skyline"},
    {Effect::kSlips, "slips"},
    {Effect::kHalfCycles, "half-cycles"},
    {Effect::kGaps, "gaps"},
    {Effect::kMotion, "motion"},
    {Effect::kJamming, "jamming"},
    {Effect::kIntegerBiases, "integer-biases"},
}};

}  // namespace

std::span<const EffectName> effect_names() {
  return kNames;
}

std::optional<Effect> find_effect(std::string_view name) {
  for (const EffectName& row : kNames) {
    if (row.name == name) {
      return row.effect;
    }
  }
  return std::nullopt;
}

std::string_view name_of(Effect effect) {
  return kNames[static_cast<std::size_t>(effect)].name;
}

}  // namespace stillpoint::simulate
