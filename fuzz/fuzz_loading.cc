// Coefficients of ocean loading. What must hold for any bytes: every station
// has a name, numbers within their limits, and is found by its name.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string_view>

#include "product_fuzz_support.h"
#include "stillpoint/core/check.h"
#include "stillpoint/products/loading_reader.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const auto product = stillpoint::products::read_loading(
      stillpoint::memory_stream(text, "fuzz.blq"));
  if (!product) {
    stillpoint::fuzz::check_refusal(product.error(), "fuzz.blq:");
    return 0;
  }
  STILLPOINT_CHECK(!product->stations.empty());
  for (const stillpoint::LoadingTides& station : product->stations) {
    STILLPOINT_CHECK(!station.station.empty());
    for (std::size_t part = 0; part < station.amplitude_m.size(); ++part) {
      for (std::size_t k = 0; k < station.amplitude_m[part].size(); ++k) {
        STILLPOINT_CHECK(std::abs(station.amplitude_m[part][k]) <= 10);
        STILLPOINT_CHECK(std::abs(station.phase_rad[part][k]) < 6.3);
      }
    }
    STILLPOINT_CHECK(!station.place || std::abs(station.place->lat_rad) < 1.6);
    STILLPOINT_CHECK(stillpoint::find_station(*product, station.station) !=
                     nullptr);
  }
  return 0;
}
