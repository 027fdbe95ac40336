// Station solutions. What must hold for any bytes: numbers are finite, spans
// end after they begin, a file without its last line is never accepted, and
// phase centres give finite corrections in every direction.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

#include "product_fuzz_support.h"
#include "stillpoint/core/check.h"
#include "stillpoint/products/sinex_reader.h"

namespace {

using stillpoint::AntennaFrequency;
using stillpoint::AntennaPattern;
using stillpoint::AntennaPatterns;
using stillpoint::GnssTime;
using stillpoint::SinexProduct;
using stillpoint::SiteSpan;

void check_span(const SiteSpan& at) {
  STILLPOINT_CHECK(!at.from || !at.until || *at.from <= *at.until);
}

bool is_finite(const stillpoint::Ecef& v) {
  return std::isfinite(stillpoint::norm(v));
}

void check_sites(const SinexProduct& product) {
  for (const auto& row : product.antennas) {
    check_span(row.at);
    STILLPOINT_CHECK(row.type.size() <= 20);
  }
  for (const auto& row : product.eccentricities) {
    check_span(row.at);
    STILLPOINT_CHECK(std::isfinite(row.up_m + row.north_m + row.east_m));
  }
  for (const auto& row : product.coordinates) {
    STILLPOINT_CHECK(is_finite(row.position_m) && is_finite(row.sigma_m));
    STILLPOINT_CHECK(!row.velocity_mps || is_finite(*row.velocity_mps));
    STILLPOINT_CHECK(product.coordinate(row.at.site, row.epoch) != nullptr);
  }
}

void check_offsets(const SinexProduct& product) {
  AntennaPatterns patterns;
  STILLPOINT_CHECK(patterns.add(product.offsets).has_value() ==
                   product.offsets.absolute);
  for (const AntennaPattern& antenna : product.offsets.antennas) {
    for (const AntennaFrequency& f : antenna.frequencies) {
      STILLPOINT_CHECK(antenna.frequency(f.system, f.number) == &f);
      STILLPOINT_CHECK(antenna.variation_m(f, 0.3, 1) == 0);
      STILLPOINT_CHECK(
          std::isfinite(antenna.range_correction_m(f, {0.6, 0, 0.8})));
    }
  }
  if (!product.offsets.absolute || product.offsets.antennas.size() > 100) {
    return;
  }
  const GnssTime t = product.from.value_or(GnssTime());
  for (const AntennaPattern& antenna : product.offsets.antennas) {
    if (antenna.satellite) {
      double days_off = 0;
      STILLPOINT_CHECK(patterns.satellite_nearest(
                           *antenna.satellite, t, &days_off) != nullptr);
      STILLPOINT_CHECK(std::isfinite(days_off));
    } else if (antenna.svn.empty()) {
      STILLPOINT_CHECK(!patterns.receivers_of_type(antenna.type).empty() ||
                       antenna.type.starts_with("                "));
    }
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const auto product = stillpoint::products::read_sinex(
      stillpoint::memory_stream(text, "fuzz.snx"));
  if (!product) {
    stillpoint::fuzz::check_refusal(product.error(), "fuzz.snx:");
    return 0;
  }
  check_sites(*product);
  check_offsets(*product);
  STILLPOINT_CHECK(!stillpoint::products::read_sinex(stillpoint::memory_stream(
      text.substr(0, text.rfind("%ENDSNX")), "fuzz.snx")));
  return 0;
}
