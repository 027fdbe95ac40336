// The wide lanes of the arcs: which combination of products makes integers of
// them, and which whole number each arc has.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/solve/ppp_options.h"
#include "stillpoint/solve/ppp_rows.h"

namespace stillpoint::solve {

// What makes a satellite's phases whole numbers of cycles away from the codes.
enum class IntegerBasis : std::uint8_t {
  kNone,
  kPhaseBiases,    // biases of both codes and both phases (OSB)
  kIntegerClocks,  // clocks that keep integers, with wide-lane biases
};

// A row's Melbourne-Wuebbena value with the satellite's part taken off: a whole
// number and the receiver's constant of the system [cycles].
//
//   returns   nothing where the products do not say it: GLONASS, whose channels
//             differ in every receiver; systems not tried on real data; with
//             integer clocks, codes of other signals than the clocks are of
struct WideLaneValue {
  double cyc = 0;
  IntegerBasis basis = IntegerBasis::kNone;
};
std::optional<WideLaneValue> wide_lane_value(const PppRow& row,
                                             GnssTime t,
                                             const PppAids& aids);

struct PppWideLanes {
  std::array<IntegerBasis, kSystemCount> basis{};  // of each system
  // By arc: its whole number, up to one that all arcs of a system share;
  // nothing where it is not safe.
  std::vector<std::optional<std::int64_t>> whole;
  [[nodiscard]] bool any_basis() const;
};

// Whole numbers of the arcs. The receiver's constant may drift (its codes do,
// with the temperature: by half a cycle in a day at one of the receivers at
// hand), so that it is estimated for every ten minutes from all satellites.
//
//   safe     the next whole number is a thousand times less likely, by a sigma
//            that takes the means of ten minutes as three times fewer than they
//            are, and is 0.03 cycles at least
//   source   Melbourne-Wuebbena combination: common practice, no source; the
//            rule: our own, docs/integers.md
PppWideLanes find_wide_lanes(const PppSession& session, const PppAids& aids);

// For people: "integer clocks with wide-lane biases (GPS, Galileo)", or why
// there are none.
std::string basis_words(const PppWideLanes& lanes);

}  // namespace stillpoint::solve
