// Unnormalised real spherical harmonics to degree 9, as the models GPT and GMF
// use them: V_nm = P_nm(sin lat) cos(m lon), W_nm = P_nm(sin lat) sin(m lon).
// Internal to models.
#pragma once

#include <array>
#include <cstddef>

namespace stillpoint::models {

inline constexpr std::size_t kHarmonicDegree = 9;
inline constexpr std::size_t kHarmonicCount =
    (kHarmonicDegree + 1) * (kHarmonicDegree + 2) / 2;

// One (n, m) of K quantities: factors of V and of W.
template <std::size_t K>
struct HarmonicPair {
  std::array<double, K> cosine, sine;
};

// Values at one place, index n (n + 1) / 2 + m.
struct Harmonics {
  std::array<double, kHarmonicCount> v{}, w{};
};

// Geocentric latitude in principle; GPT and GMF put the geodetic one in, and
// their coefficients are fitted that way.
//
//   source   recurrences of Cunningham as in IERS routines GPT and GMF
//            (IERS Conventions 2010, ch. 9)
Harmonics compute_harmonics(double lat_rad, double lon_rad);

template <std::size_t K>
std::array<double, K> sum_harmonics(
    const Harmonics& at,
    const std::array<HarmonicPair<K>, kHarmonicCount>& coefficients) {
  std::array<double, K> sums{};
  for (std::size_t i = 0; i < kHarmonicCount; ++i) {
    for (std::size_t k = 0; k < K; ++k) {
      sums[k] += coefficients[i].cosine[k] * at.v[i] +
                 coefficients[i].sine[k] * at.w[i];
    }
  }
  return sums;
}

}  // namespace stillpoint::models
