// SP3 reading and what becomes of it. What must hold for any bytes: epochs
// ascend, values are numbers or missing, a file without its EOF line is never
// accepted, and interpolation gives a finite state or a reason.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string_view>

#include "stillpoint/aids/precise_orbits.h"
#include "stillpoint/core/check.h"
#include "stillpoint/products/sp3.h"

namespace {

using stillpoint::GnssTime;
using stillpoint::PreciseEpoch;
using stillpoint::PreciseOrbits;
using stillpoint::PreciseProduct;
using stillpoint::PreciseSample;

void check_product(const PreciseProduct& product) {
  STILLPOINT_CHECK(product.interval_s > 0);
  for (std::size_t i = 0; i < product.epochs.size(); ++i) {
    STILLPOINT_CHECK(i == 0 ||
                     product.epochs[i - 1].time < product.epochs[i].time);
    for (const PreciseSample& s : product.epochs[i].samples) {
      STILLPOINT_CHECK(s.sat.number >= 1 && s.sat.number <= 99);
      STILLPOINT_CHECK(!std::isinf(s.clock_s));
      STILLPOINT_CHECK(
          !std::isinf(s.position_m.x_m + s.position_m.y_m + s.position_m.z_m));
    }
  }
}

void check_states(const PreciseOrbits& orbits,
                  const PreciseEpoch& epoch,
                  double later_s) {
  for (const PreciseSample& s : epoch.samples) {
    const auto state =
        orbits.state(s.sat, epoch.time + stillpoint::Duration{later_s});
    if (state) {
      STILLPOINT_CHECK(std::isfinite(state->clock_s));
      STILLPOINT_CHECK(std::isfinite(state->position_m.x_m));
      STILLPOINT_CHECK(state->range_sigma_m > 0);
    }
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  auto product = stillpoint::products::read_sp3(
      stillpoint::memory_stream(text, "fuzz.sp3"));
  if (!product) {
    STILLPOINT_CHECK(product.error().where.starts_with("fuzz.sp3:"));
    STILLPOINT_CHECK(!product.error().what.empty());
    return 0;
  }
  check_product(*product);
  const auto cut = stillpoint::products::read_sp3(
      stillpoint::memory_stream(text.substr(0, text.rfind("EOF")), "fuzz.sp3"));
  STILLPOINT_CHECK(!cut &&
                   cut.error().code == stillpoint::ErrorCode::kTruncated);
  const PreciseProduct copy = *product;
  PreciseOrbits orbits;
  STILLPOINT_CHECK(orbits.add(std::move(*product)).has_value());
  for (const PreciseEpoch& epoch : copy.epochs) {
    for (const double part : {0.0, 0.3, -0.5}) {
      check_states(orbits, epoch, part * copy.interval_s);
    }
  }
  return 0;
}
