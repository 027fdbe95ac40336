#include "stillpoint/models/ocean_loading.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <complex>
#include <cstddef>
#include <cstdint>
#include <numbers>
#include <vector>

#include "stillpoint/models/ocean_loading_table.h"
#include "stillpoint/models/tide_arguments.h"

namespace stillpoint::models {
namespace {

using Response = std::complex<double>;

// Where the eleven tides of the coefficients, M2 S2 N2 K2 K1 O1 P1 Q1 Mf Mm
// Ssa, stand among the 342.
constexpr std::array<Doodson, 11> kMainTides{{{2, 0, 0, 0, 0, 0},
                                              {2, 2, -2, 0, 0, 0},
                                              {2, -1, 0, 1, 0, 0},
                                              {2, 2, 0, 0, 0, 0},
                                              {1, 1, 0, 0, 0, 0},
                                              {1, -1, 0, 0, 0, 0},
                                              {1, 1, -2, 0, 0, 0},
                                              {1, -2, 0, 1, 0, 0},
                                              {0, 2, 0, 0, 0, 0},
                                              {0, 1, 0, -1, 0, 0},
                                              {0, 0, 2, 0, 0, 0}}};
constexpr std::size_t kSpecies = 3;  // long period, diurnal, semidiurnal

// Phase of the tidal potential's own cosine, by species.
constexpr std::array<double, kSpecies> kPotentialPhaseRad{
    std::numbers::pi, std::numbers::pi / 2, 0};

// A cubic spline through responses at rising frequencies. The slope at an end
// is that of the parabola through the three points there; of three points or
// fewer, straight lines; beyond the ends, the end.
class Spline {
 public:
  void add(double frequency, Response response) {
    const auto after = std::upper_bound(x_.begin(), x_.end(), frequency);
    u_.insert(u_.begin() + (after - x_.begin()), response);
    x_.insert(after, frequency);
  }

  // After the last add().
  void fit() {
    const std::size_t n = x_.size();
    bend_.assign(n, 0.0);
    if (n <= 3) {
      return;
    }
    // Rows (below, middle, above) of a tridiagonal system for the second
    // derivatives.
    std::vector<double> above(n, 0.0);
    const double first = h(0);
    const double last = h(n - 2);
    above[0] = 0.5;
    bend_[0] = 3 / first * (slope(0) - end_slope(0, 1, 2));
    for (std::size_t i = 1; i < n; ++i) {
      const bool end = i == n - 1;
      const double below = h(i - 1);
      const double middle = end ? 2 * last : 2 * (h(i - 1) + h(i));
      const Response right = end ? end_slope(n - 1, n - 2, n - 3) : slope(i);
      const double pivot = middle - below * above[i - 1];
      above[i] = end ? 0 : h(i) / pivot;
      bend_[i] = (6.0 * (right - slope(i - 1)) - below * bend_[i - 1]) / pivot;
    }
    for (std::size_t i = n - 1; i-- > 0;) {
      bend_[i] -= above[i] * bend_[i + 1];
    }
  }

  [[nodiscard]] Response at(double frequency) const {
    if (frequency <= x_.front()) {
      return u_.front();
    }
    if (frequency >= x_.back()) {
      return u_.back();
    }
    const auto after = std::upper_bound(x_.begin(), x_.end(), frequency);
    const auto i = static_cast<std::size_t>(after - x_.begin()) - 1;
    const double b = (frequency - x_[i]) / h(i);
    const double a = 1 - b;
    return a * u_[i] + b * u_[i + 1] +
           h(i) * h(i) / 6 *
               ((a * a * a - a) * bend_[i] + (b * b * b - b) * bend_[i + 1]);
  }

 private:
  [[nodiscard]] double h(std::size_t i) const { return x_[i + 1] - x_[i]; }
  [[nodiscard]] Response slope(std::size_t i) const {
    return (u_[i + 1] - u_[i]) / h(i);
  }
  [[nodiscard]] Response end_slope(std::size_t end,
                                   std::size_t near,
                                   std::size_t far) const {
    const double d1 = x_[near] - x_[end];
    const double d2 = x_[far] - x_[end];
    return ((u_[near] - u_[end]) / (d1 * d1) -
            (u_[far] - u_[end]) / (d2 * d2)) /
           (1 / d1 - 1 / d2);
  }

  std::vector<double> x_;
  std::vector<Response> u_, bend_;
};

std::size_t species_of(const Doodson& doodson) {
  return static_cast<std::uint8_t>(doodson[0]);
}

double potential_of(const Doodson& doodson) {
  const auto found = std::find_if(
      kOceanTides.begin(), kOceanTides.end(), [&](const OceanTide& tide) {
        return tide.doodson == doodson;
      });
  return found->amplitude;
}

// Response per unit of potential over frequency, of one component, by species.
std::array<Spline, kSpecies> responses(
    const std::array<double, 11>& amplitude_m,
    const std::array<double, 11>& lag_rad,
    const TideArguments& rates) {
  std::array<Spline, kSpecies> by_species;
  for (std::size_t i = 0; i < kMainTides.size(); ++i) {
    const Doodson& doodson = kMainTides[i];
    const double unit_m = amplitude_m[i] / std::abs(potential_of(doodson));
    by_species[species_of(doodson)].add(combine(doodson, rates),
                                        std::polar(unit_m, -lag_rad[i]));
  }
  for (Spline& spline : by_species) {
    spline.fit();
  }
  return by_species;
}

}  // namespace

OceanLoading::OceanLoading(const LoadingTides& tides, GnssTime around)
    : around_(around) {
  static_assert(kTides == kOceanTides.size());
  const TideArguments angles = tide_arguments_rad(around);
  const TideArguments rates = tide_rates_rad_per_s();
  for (std::size_t c = 0; c < 3; ++c) {
    const auto by_species =
        responses(tides.amplitude_m[c], tides.phase_rad[c], rates);
    for (std::size_t i = 0; i < kTides; ++i) {
      const OceanTide& tide = kOceanTides[i];
      const std::size_t species = species_of(tide.doodson);
      Wave& wave = waves_[i];
      wave.rate = combine(tide.doodson, rates);
      const double phase =
          combine(tide.doodson, angles) + kPotentialPhaseRad[species];
      const Response factor = tide.amplitude *
                              by_species[species].at(wave.rate) *
                              std::polar(1.0, phase);
      wave.cosine_m[c] = factor.real();
      wave.sine_m[c] = -factor.imag();
    }
  }
}

Enu OceanLoading::displacement_m(GnssTime t) const {
  const double s = (t - around_).s;
  std::array<double, 3> sum{};
  for (const Wave& wave : waves_) {
    const double cosine = std::cos(wave.rate * s);
    const double sine = std::sin(wave.rate * s);
    for (std::size_t c = 0; c < 3; ++c) {
      sum[c] += wave.cosine_m[c] * cosine + wave.sine_m[c] * sine;
    }
  }
  return {.e_m = -sum[1], .n_m = -sum[2], .u_m = sum[0]};
}

double usual_loading_m(const Geodetic& /*site*/) {
  return 0.010;
}

}  // namespace stillpoint::models
