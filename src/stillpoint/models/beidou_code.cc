#include "stillpoint/models/beidou_code.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace stillpoint::models {
namespace {

using Row = std::array<double, 10>;  // [m] at 0, 10, … 90 degrees

constexpr Row kInclinedB1{
    -0.55, -0.40, -0.34, -0.23, -0.15, -0.04, 0.09, 0.19, 0.27, 0.35};
constexpr Row kInclinedB2{
    -0.71, -0.36, -0.33, -0.19, -0.14, -0.03, 0.08, 0.17, 0.24, 0.33};
constexpr Row kInclinedB3{
    -0.27, -0.23, -0.21, -0.15, -0.11, -0.04, 0.05, 0.14, 0.19, 0.32};
constexpr Row kMediumB1{
    -0.47, -0.38, -0.32, -0.23, -0.11, 0.06, 0.34, 0.69, 0.97, 1.05};
constexpr Row kMediumB2{
    -0.40, -0.31, -0.26, -0.18, -0.06, 0.09, 0.28, 0.48, 0.64, 0.69};
constexpr Row kMediumB3{
    -0.22, -0.15, -0.13, -0.10, -0.04, 0.05, 0.14, 0.27, 0.36, 0.47};

// Medium orbits of the second generation: C11, C12, C14.
bool is_medium(int number) {
  return number == 11 || number == 12 || number == 14;
}

const Row* row_of(SatId sat, char band) {
  if (sat.system != System::kBeidou || sat.number < 6 || sat.number > 16) {
    return nullptr;
  }
  const bool medium = is_medium(sat.number);
  switch (band) {
    case '2':
      return medium ? &kMediumB1 : &kInclinedB1;
    case '7':
      return medium ? &kMediumB2 : &kInclinedB2;
    case '6':
      return medium ? &kMediumB3 : &kInclinedB3;
    default:
      return nullptr;
  }
}

}  // namespace

double beidou_code_correction_m(SatId sat, char band, double elevation_rad) {
  const Row* row = row_of(sat, band);
  if (row == nullptr) {
    return 0;
  }
  const double place =
      std::clamp(elevation_rad * 18 / std::numbers::pi, 0.0, 9.0);
  const auto low = static_cast<std::size_t>(std::min(place, 8.0));
  const double fraction = place - static_cast<double>(low);
  return (*row)[low] + fraction * ((*row)[low + 1] - (*row)[low]);
}

}  // namespace stillpoint::models
