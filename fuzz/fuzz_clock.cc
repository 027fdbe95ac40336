// Clock files. What must hold for any bytes: epochs and samples ascend, values
// are finite, what is written of it is read back and written alike, and an
// interpolated clock lies between its neighbours.
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

#include "product_fuzz_support.h"
#include "stillpoint/core/check.h"
#include "stillpoint/products/clock_reader.h"
#include "stillpoint/products/clock_writer.h"

namespace {

using stillpoint::fuzz::check_refusal;
using stillpoint::fuzz::written;

using stillpoint::ClockProduct;
using stillpoint::ClockSample;
using stillpoint::ClockSeries;

void check_product(const ClockProduct& product) {
  STILLPOINT_CHECK(
      std::is_sorted(product.epochs.begin(), product.epochs.end()));
  for (const ClockSeries& series : product.series) {
    STILLPOINT_CHECK(!series.name.empty());
    for (std::size_t k = 0; k < series.samples.size(); ++k) {
      const ClockSample& sample = series.samples[k];
      STILLPOINT_CHECK(std::isfinite(sample.clock_s));
      STILLPOINT_CHECK(sample.epoch < product.epochs.size());
      STILLPOINT_CHECK(k == 0 || series.samples[k - 1].epoch < sample.epoch);
    }
  }
}

void check_values(ClockProduct product) {
  const ClockProduct copy = product;
  stillpoint::PreciseClocks clocks;
  clocks.add(std::move(product));
  for (const ClockSeries& series : copy.series) {
    if (!series.satellite) {
      continue;
    }
    for (const ClockSample& sample : series.samples) {
      const auto t = copy.epochs[sample.epoch];
      STILLPOINT_CHECK(clocks.clock_s(*series.satellite, t) == sample.clock_s);
      const auto later =
          clocks.clock_at(*series.satellite, t + stillpoint::Duration{0.5});
      STILLPOINT_CHECK(!later || std::isfinite(later->clock_s));
    }
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  auto product = stillpoint::products::read_clocks(
      stillpoint::memory_stream(text, "fuzz.clk"));
  if (!product) {
    check_refusal(product.error(), "fuzz.clk:");
    return 0;
  }
  check_product(*product);
  const std::string first =
      written(stillpoint::products::write_clocks, *product);
  if (!first.empty()) {
    const auto again = stillpoint::products::read_clocks(
        stillpoint::memory_stream(first, "again"));
    STILLPOINT_CHECK(again.has_value());
    STILLPOINT_CHECK(again->series.size() == product->series.size());
    const std::string second =
        written(stillpoint::products::write_clocks, *again);
    STILLPOINT_CHECK(first == second);
  }
  check_values(std::move(*product));
  return 0;
}
