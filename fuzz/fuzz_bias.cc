// Bias files. What must hold for any bytes: values are finite, rows end after
// they begin, a file without its last line is never accepted, what is written
// of it is read back the same, and lookups give a finite bias or none.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

#include "product_fuzz_support.h"
#include "stillpoint/core/check.h"
#include "stillpoint/products/bias_reader.h"
#include "stillpoint/products/bias_writer.h"

namespace {

using stillpoint::fuzz::check_refusal;
using stillpoint::fuzz::written;

using stillpoint::BiasProduct;
using stillpoint::BiasRow;

void check_rows(const BiasProduct& product) {
  stillpoint::CodePhaseBiases biases;
  STILLPOINT_CHECK(biases.add(product).has_value());
  for (const BiasRow& row : product.rows) {
    STILLPOINT_CHECK(std::isfinite(row.value));
    STILLPOINT_CHECK(row.satellite || !row.station.empty());
    STILLPOINT_CHECK(!row.from || !row.until || *row.from <= *row.until);
    const auto signal = stillpoint::parse_bias_signal(row.first);
    if (!row.satellite || !signal) {
      continue;
    }
    const auto bias_s = biases.osb_s(*row.satellite,
                                     signal->signal,
                                     signal->phase,
                                     row.from.value_or(stillpoint::GnssTime()));
    STILLPOINT_CHECK(!bias_s || std::isfinite(*bias_s));
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const auto product = stillpoint::products::read_biases(
      stillpoint::memory_stream(text, "fuzz.bia"));
  if (!product) {
    check_refusal(product.error(), "fuzz.bia:");
    return 0;
  }
  check_rows(*product);
  STILLPOINT_CHECK(!stillpoint::products::read_biases(stillpoint::memory_stream(
      text.substr(0, text.rfind("%=ENDBIA")), "fuzz.bia")));
  const std::string first =
      written(stillpoint::products::write_biases, *product);
  if (!first.empty()) {
    const auto again = stillpoint::products::read_biases(
        stillpoint::memory_stream(first, "again"));
    STILLPOINT_CHECK(again.has_value());
    STILLPOINT_CHECK(again->rows.size() == product->rows.size());
    const std::string second =
        written(stillpoint::products::write_biases, *again);
    STILLPOINT_CHECK(first == second);
  }
  return 0;
}
