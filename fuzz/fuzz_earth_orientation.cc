// Tables of Earth orientation. What must hold for any bytes: rows ascend and
// are what an Earth can have, and the values between and beyond them are
// finite.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string_view>

#include "product_fuzz_support.h"
#include "stillpoint/core/check.h"
#include "stillpoint/products/earth_orientation_reader.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const auto product = stillpoint::products::read_earth_orientation(
      stillpoint::memory_stream(text, "fuzz.eop"));
  if (!product) {
    stillpoint::fuzz::check_refusal(product.error(), "fuzz.eop:");
    return 0;
  }
  STILLPOINT_CHECK(!product->series.empty());
  STILLPOINT_CHECK(!product->rows.empty() || product->rows_left_out > 0);
  for (std::size_t k = 0; k < product->rows.size(); ++k) {
    const stillpoint::EarthOrientationRow& row = product->rows[k];
    STILLPOINT_CHECK(std::abs(row.value.x_pole_rad) < 1e-4);
    STILLPOINT_CHECK(std::abs(row.value.y_pole_rad) < 1e-4);
    STILLPOINT_CHECK(std::abs(row.value.ut1_minus_utc_s) <= 2);
    STILLPOINT_CHECK(!std::isinf(row.lod_s));
    STILLPOINT_CHECK(k == 0 || product->rows[k - 1].time < row.time);
  }
  stillpoint::EarthOrientationSeries series;
  if (!series.add(*product)) {
    return 0;  // no rows, or a step of UT1 that is no leap second
  }
  for (const stillpoint::EarthOrientationRow& row : product->rows) {
    const auto at = series.at(row.time);
    STILLPOINT_CHECK(at.has_value());
    STILLPOINT_CHECK(std::abs(at->ut1_minus_utc_s - row.value.ut1_minus_utc_s) <
                     1e-12);
    for (const double later_s : {-40'000.0, 0.5, 80'000.0}) {
      const auto near = series.at(row.time + stillpoint::Duration{later_s});
      STILLPOINT_CHECK(!near || (std::isfinite(near->x_pole_rad) &&
                                 std::isfinite(near->y_pole_rad) &&
                                 std::isfinite(near->ut1_minus_utc_s)));
    }
  }
  return 0;
}
