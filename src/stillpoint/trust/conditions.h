// The table of what can be wrong with a station: one row a condition, with its
// thresholds, its times and its words. Internal; docs/trust.md repeats it.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>

#include "stillpoint/trust/trust.h"

namespace stillpoint::trust {

enum class Bad : std::uint8_t { kAbove, kBelow };

struct Condition {
  Part part = Part::kCoordinate;
  const char* code = "";
  State state = State::kDoubtful;  // kTrusted: a warning
  Bad bad = Bad::kAbove;
  // Of value(): bad beyond `enter`; good at `leave` and on its other side.
  double enter = 0, leave = 0;
  double enter_after_s = 0;
  double leave_after_s = 0;
  bool times_silence = false;  // at least twice the owner's silence_s to leave
  bool at_first = false;       // held at once where its first value is bad
  bool of_record = false;      // ends with the record that was adopted
  const char* graver = "";     // while that one holds, this one is not told
  std::optional<double> (*value)(const Inputs&) = nullptr;
  std::string (*what)(const Inputs&) = nullptr;  // where value() is known
  const char* brief = "";
  const char* remedy = "";
};

// In the order in which equally grave reasons are told.
std::span<const Condition> conditions();
// Its two parts: of the adopted coordinate, and all others.
std::span<const Condition> coordinate_conditions();
std::span<const Condition> station_conditions();

enum class Look : std::uint8_t { kUnknown, kGood, kBetween, kBad };
Look look(const Condition& condition, const Inputs& inputs);

// How long it must have looked good to end.
double leave_after_s(const Condition& condition, const Inputs& inputs);

// "18 mm", "0.53 m", "1200 m".
std::string length_text(double length_m);

}  // namespace stillpoint::trust
