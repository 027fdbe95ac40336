// Code multipath: code against the phases of two frequencies, less the mean of
// the arc. One arc of one signal of one satellite keeps sums only.
#pragma once

#include <array>
#include <string_view>

#include "stillpoint/gnss/satellite.h"
#include "stillpoint/quality/elevation_bins.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::quality {

// A code without geometry, clocks and the first order of the ionosphere:
//
//   P - (1 + k) L + k M,  k = 2 / (a - 1),  a = (f / g)^2
//
// What is left: multipath and noise of the code, k times those of the phases,
// a constant by arc, and delays of the code that change with elevation (known
// of BeiDou-2 satellites: some decimetres).
//
//   code_m, phase_m, frequency_hz     P, L and f of the signal
//   partner_m, partner_frequency_hz   M and g: a phase on another band
//   source   Estey and Meertens 1999, GPS Solut. 3(1):42-49, for L1 and L2 of
//            GPS (shared checks section 8, from memory), here for any pair
double multipath_m(double code_m,
                   double phase_m,
                   double frequency_hz,
                   double partner_m,
                   double partner_frequency_hz);

// Bands whose phase may be the partner, best first: far away, so that k and
// with it the phases' noise stay small. GPS L5 is no partner of L1 where L2 is
// there: its phase drifts by centimetres as the satellite warms.
std::string_view partner_bands(System system, char band);

// Lags of the time correlation: 30 s to 300 s.
inline constexpr std::size_t kLags = 10;
inline constexpr double kLagS = 30;

// What the arcs of a signal add up to.
struct MultipathSums {
  ByElevation<SquareSum> by_elevation{};
  std::uint64_t arcs = 0;
  std::uint64_t short_arcs = 0;  // left out
  struct Lag {
    std::uint64_t pairs = 0;
    double products = 0;  // of the two values
    double squares = 0;   // mean square of the two
  };
  std::array<Lag, kLags> lags{};

  [[nodiscard]] SquareSum total() const;
  // Share of the variance that is still there after (i + 1) lags: 0 for noise
  // that is new at each epoch, near 1 for slow multipath. Means taken off
  // short arcs pull it down, by about the correlation's length over the arc's.
  // NaN where no pairs came.
  [[nodiscard]] std::array<double, kLags> correlation() const;
};

class MultipathArc {
 public:
  // Shorter arcs lose too much with their mean.
  static constexpr double kLeastS = 600;
  static constexpr std::uint64_t kLeastCount = 10;

  [[nodiscard]] bool empty() const { return count_ == 0; }
  [[nodiscard]] GnssTime last() const { return last_; }
  // Later than the one before.
  //
  //   value_m   multipath_m()
  void add(GnssTime t, std::size_t place, double value_m);
  // Adds the arc to the sums and starts anew.
  void close(MultipathSums& sums);

 private:
  void add_lags(std::int64_t number, double x);

  struct Moments {
    std::uint64_t count = 0;
    double sum = 0, squares = 0;
  };
  struct Lag {
    std::uint64_t pairs = 0;
    double products = 0, sum = 0, squares = 0;
  };
  struct Past {
    std::int64_t number = -1;  // of the lag, since the start
    double x = 0;
  };
  GnssTime first_, last_;
  double first_value_m_ = 0;  // values are kept as differences from it
  std::uint64_t count_ = 0;
  double sum_ = 0;
  ByElevation<Moments> places_{};
  std::array<Lag, kLags> lags_{};
  std::array<Past, kLags + 1> past_{};
};

}  // namespace stillpoint::quality
