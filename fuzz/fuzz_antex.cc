// Antenna files. What must hold for any bytes: grids are whole, corrections
// are finite in every direction, and what is written of it is read back and
// written alike.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

#include "product_fuzz_support.h"
#include "stillpoint/core/check.h"
#include "stillpoint/products/antex_reader.h"
#include "stillpoint/products/antex_writer.h"

namespace {

using stillpoint::fuzz::check_refusal;
using stillpoint::fuzz::written;

using stillpoint::AntennaFrequency;
using stillpoint::AntennaPattern;
using stillpoint::AntennaProduct;

void check_antennas(const AntennaProduct& product) {
  for (const AntennaPattern& antenna : product.antennas) {
    for (const AntennaFrequency& f : antenna.frequencies) {
      STILLPOINT_CHECK(antenna.frequency(f.system, f.number) == &f);
      for (const double angle_rad : {-1.0, 0.0, 0.3, 2.0, 6.2, 6.3}) {
        STILLPOINT_CHECK(
            std::isfinite(antenna.variation_m(f, angle_rad, -3 * angle_rad)));
      }
      STILLPOINT_CHECK(
          std::isfinite(antenna.range_correction_m(f, {0.6, 0, 0.8})));
    }
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  auto product = stillpoint::products::read_antex(
      stillpoint::memory_stream(text, "fuzz.atx"));
  if (!product) {
    check_refusal(product.error(), "fuzz.atx:");
    return 0;
  }
  check_antennas(*product);
  const std::string first =
      written(stillpoint::products::write_antex, *product);
  if (!first.empty()) {
    // Angles are printed to a tenth of a degree, so that a grid finer than
    // that need not come back.
    const auto again = stillpoint::products::read_antex(
        stillpoint::memory_stream(first, "again"));
    if (again) {
      const std::string second =
          written(stillpoint::products::write_antex, *again);
      STILLPOINT_CHECK(first == second);
    }
  }
  stillpoint::AntennaPatterns patterns;
  const bool absolute = product->absolute;
  STILLPOINT_CHECK(patterns.add(std::move(*product)).has_value() == absolute);
  return 0;
}
