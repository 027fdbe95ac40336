// Every correction and weighting that can be left out by name
// (`--without TERM…`), to see what it is worth. docs/terms.md has a row each.
#pragma once

#include <cstdint>
#include <initializer_list>
#include <optional>
#include <span>
#include <string_view>

namespace stillpoint::solve {

enum class Term : std::uint8_t {
  kIonosphere,        // neither model nor combination: single frequency, raw
  kTroposphere,       // a priori slant delay
  kRelativity,        // periodic satellite clock term
  kShapiro,           // path delay by the Earth's mass
  kEarthRotation,     // turn of the Earth during the signal's flight
  kGroupDelay,        // broadcast TGD, BGD, ISC
  kSatelliteClock,    // clock offset of the satellite
  kElevationWeights,  // noise that grows towards the horizon
  kCn0Weights,        // noise that grows as C/N0 falls
  kOutlierRejection,  // every observation is kept
  kAntennaHeight,     // marker to antenna reference point
  kBeidouCode,        // code variations of BeiDou's second generation
  // Of the phase solution alone.
  kSatelliteAntenna,  // phase centre of the satellites
  kReceiverAntenna,   // phase centre of the station's antenna
  kWindUp,            // turn of the phase by the satellites' turning
  kYawTurns,          // turns at noon and midnight: nominal attitude only
  kSolidTide,         // solid Earth tide
  kOceanLoading,      // loading by the tides at sea
  kPoleTide,          // yielding to polar motion
  kGradients,         // horizontal gradients of the troposphere
};

struct TermName {
  Term term;
  std::string_view name;
};

// All of them, in the order of docs/terms.md.
std::span<const TermName> term_names();
std::optional<Term> find_term(std::string_view name);

// A set of terms left out.
class TermSet {
 public:
  TermSet() = default;
  TermSet(std::initializer_list<Term> terms) {
    for (const Term t : terms) {
      add(t);
    }
  }
  void add(Term t) { bits_ |= 1u << static_cast<unsigned>(t); }
  [[nodiscard]] bool has(Term t) const {
    return (bits_ >> static_cast<unsigned>(t) & 1u) != 0;
  }
  [[nodiscard]] bool empty() const { return bits_ == 0; }

 private:
  std::uint32_t bits_ = 0;
};

}  // namespace stillpoint::solve
