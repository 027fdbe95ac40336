#include "stillpoint/simulate/nature/multipath.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <complex>
#include <numbers>

#include "stillpoint/core/check.h"
#include "stillpoint/simulate/nature/vectors.h"

namespace stillpoint::simulate {
namespace {

constexpr double kTurn = 2 * std::numbers::pi;
using Phasor = std::complex<double>;

double wrap_turn(double angle_rad) {
  const double a = std::fmod(angle_rad, kTurn);
  return a < 0 ? a + kTurn : a;
}

bool in_window(const ReflectingPlane& plane, const AzEl& ray) {
  if (ray.elevation_rad < plane.lowest_elev_rad ||
      ray.elevation_rad > plane.highest_elev_rad) {
    return false;
  }
  const double width =
      wrap_turn(plane.last_azimuth_rad - plane.first_azimuth_rad);
  if (width == 0) {
    return true;
  }
  return wrap_turn(ray.azimuth_rad - plane.first_azimuth_rad) <= width;
}

// Correlation of a code with itself, late by some chips.
double peak(double chips) {
  return std::max(0.0, 1 - std::abs(chips));
}

// A reflected ray's signal over the direct one's.
Phasor phasor(const Reflection& r, double wavelength_m) {
  const double lag = kTurn * r.path_m / wavelength_m - r.phase_rad;
  return std::polar(r.amplitude, -lag);
}

// Sum of all rays as a prompt correlator on the direct ray's code sees it.
Phasor prompt(std::span<const Reflection> reflections,
              double wavelength_m,
              const TrackingLoops& loops) {
  Phasor sum = 1;
  for (const Reflection& r : reflections) {
    sum += peak(r.path_m / loops.chip_m) * phasor(r, wavelength_m);
  }
  return sum;
}

// Early minus late of one ray whose code the loop is `late` chips behind:
// negative while the loop is too early for it.
double early_minus_late(double late, double spacing) {
  return peak(late - spacing / 2) - peak(late + spacing / 2);
}

}  // namespace

Reflection reflect(const ReflectingPlane& plane,
                   const AzEl& satellite,
                   const AntennaGain& gain) {
  Reflection out;
  if (plane.coefficient <= 0) {
    return out;
  }
  const Enu n = unit_enu({plane.normal_azimuth_rad, plane.normal_elev_rad});
  const Enu s = unit_enu(satellite);
  const double along = n.e_m * s.e_m + n.n_m * s.n_m + n.u_m * s.u_m;
  if (along <= 0) {
    return out;  // behind the plane
  }
  // The ray seems to come from the satellite's mirror image.
  const Enu seen{s.e_m - 2 * along * n.e_m,
                 s.n_m - 2 * along * n.n_m,
                 s.u_m - 2 * along * n.u_m};
  out.ray.azimuth_rad = wrap_turn(std::atan2(seen.e_m, seen.n_m));
  out.ray.elevation_rad = std::asin(std::clamp(seen.u_m, -1.0, 1.0));
  if (!in_window(plane, out.ray)) {
    return out;
  }
  const double gain_change_db = gain_db(gain, out.ray.elevation_rad) -
                                gain_db(gain, satellite.elevation_rad);
  out.path_m = 2 * plane.distance_m * along;
  out.amplitude = plane.coefficient * std::pow(10.0, gain_change_db / 20);
  out.phase_rad = plane.phase_rad;
  return out;
}

double phase_error_m(std::span<const Reflection> reflections,
                     double wavelength_m,
                     const TrackingLoops& loops) {
  const Phasor sum = prompt(reflections, wavelength_m, loops);
  return -wavelength_m / kTurn * std::arg(sum);
}

double strength_change_db(std::span<const Reflection> reflections,
                          double wavelength_m,
                          const TrackingLoops& loops) {
  const double length = std::abs(prompt(reflections, wavelength_m, loops));
  return 20 * std::log10(std::max(length, 0.0316227766));
}

double code_error_m(std::span<const Reflection> reflections,
                    double wavelength_m,
                    const TrackingLoops& loops) {
  STILLPOINT_CHECK(reflections.size() <= kMostReflections);
  const Phasor follow = std::conj(prompt(reflections, wavelength_m, loops));
  const double d = loops.spacing_chips;
  // Of each ray what is in phase with the sum, and its lateness in chips.
  std::array<double, kMostReflections> weight{}, behind{};
  for (std::size_t i = 0; i < reflections.size(); ++i) {
    weight[i] = (phasor(reflections[i], wavelength_m) * follow).real();
    behind[i] = reflections[i].path_m / loops.chip_m;
  }
  // The discriminator with the loop late by `late` chips, in phase with the
  // sum of the rays. It rises with `late` while the direct ray is strongest.
  const auto discriminator = [&](double late) {
    double sum = follow.real() * early_minus_late(late, d);
    for (std::size_t i = 0; i < reflections.size(); ++i) {
      sum += weight[i] * early_minus_late(late - behind[i], d);
    }
    return sum;
  };
  double low = -d / 2, high = d / 2;
  double at_low = discriminator(low), at_high = discriminator(high);
  if (at_low >= 0) {
    return low * loops.chip_m;
  }
  if (at_high <= 0) {
    return high * loops.chip_m;
  }
  // False position with the halving of the side that stays (Illinois).
  double zero = 0;
  const double enough = 1e-5 / loops.chip_m;
  int side = 0;
  for (int i = 0; i < 60 && high - low > enough; ++i) {
    zero = (low * at_high - high * at_low) / (at_high - at_low);
    const double value = discriminator(zero);
    if (value == 0) {
      break;
    }
    if (value > 0) {
      if (side > 0) {
        at_low /= 2;
      }
      high = zero;
      at_high = value;
      side = 1;
    } else {
      if (side < 0) {
        at_high /= 2;
      }
      low = zero;
      at_low = value;
      side = -1;
    }
  }
  return zero * loops.chip_m;
}

}  // namespace stillpoint::simulate
