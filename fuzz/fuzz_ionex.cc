// Ionosphere maps. What must hold for any bytes: maps fit their grid and
// ascend, a file without its last line is never accepted, and contents are
// finite wherever there are any.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string_view>
#include <utility>

#include "product_fuzz_support.h"
#include "stillpoint/core/check.h"
#include "stillpoint/products/ionex_reader.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  auto product = stillpoint::products::read_ionex(
      stillpoint::memory_stream(text, "fuzz.inx"));
  if (!product) {
    stillpoint::fuzz::check_refusal(product.error(), "fuzz.inx:");
    return 0;
  }
  STILLPOINT_CHECK(!stillpoint::products::read_ionex(stillpoint::memory_stream(
      text.substr(0, text.rfind("END OF FILE")), "fuzz.inx")));
  for (const stillpoint::IonosphereBias& bias : product->biases) {
    STILLPOINT_CHECK(bias.satellite || !bias.station.empty());
    STILLPOINT_CHECK(std::isfinite(bias.bias_ns));
  }
  stillpoint::IonosphereMaps maps;
  STILLPOINT_CHECK(maps.add(std::move(*product)).has_value());
  const auto first = *maps.first();
  for (const double later_s : {0.0, 1'000.0, 5'000.0}) {
    for (const double angle_rad : {-7.0, -1.5, 0.0, 0.4, 1.55, 3.2}) {
      const auto t = first + stillpoint::Duration{later_s};
      const auto tec = maps.vertical_tec(t, angle_rad / 4, angle_rad);
      const auto rms = maps.vertical_tec_rms(t, angle_rad / 4, -angle_rad);
      STILLPOINT_CHECK(!tec || std::isfinite(*tec));
      STILLPOINT_CHECK(!rms || std::isfinite(*rms));
    }
  }
  return 0;
}
