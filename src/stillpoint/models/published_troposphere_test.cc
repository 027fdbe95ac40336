// kind: published   source: block by block in tests/vectors/troposphere.vec,
// with the tolerance and its reason
#include <gtest/gtest.h>

#include <numbers>

#include "stillpoint/models/gmf.h"
#include "stillpoint/models/gpt.h"
#include "stillpoint/models/saastamoinen.h"
#include "stillpoint/time/scales.h"
#include "tests/support/vectors.h"

namespace stillpoint::models {
namespace {

constexpr double kPi = std::numbers::pi;

void check_gmf(const test::Block& b, const Geodetic& site) {
  const auto mapping =
      GlobalMapping::at(site, from_mjd(b.in("mjd"), TimeScale::kUtc));
  ASSERT_TRUE(mapping) << mapping.error().text();
  const MappingFactors f = mapping->factors(kPi / 2 - b.in("zenith_rad"));
  EXPECT_NEAR(f.hydrostatic, b.out("hydrostatic"), b.tolerance);
  EXPECT_NEAR(f.wet, b.out("wet"), b.tolerance);
}

void check_gpt(const test::Block& b, const Geodetic& site) {
  const auto w = gpt(site, from_mjd(b.in("mjd"), TimeScale::kUtc));
  ASSERT_TRUE(w) << w.error().text();
  EXPECT_NEAR(w->pressure_hpa, b.out("pressure_hpa"), b.tolerance);
  EXPECT_NEAR(w->temperature_c, b.out("temperature_c"), b.tolerance);
  if (b.has("undulation_m")) {
    EXPECT_NEAR(w->undulation_m, b.out("undulation_m"), b.tolerance);
  }
}

// kind, source, tolerance: in the blocks of tests/vectors/troposphere.vec
TEST(Troposphere, MeetsThePublishedValues) {
  int gmf_blocks = 0;
  int gpt_blocks = 0;
  int zhd_blocks = 0;
  for (const auto& b : test::read_vectors("troposphere.vec")) {
    SCOPED_TRACE(b.name);
    const std::string model = b.word("model");
    if (model == "zhd") {
      const Geodetic site{b.in("lat_deg") * kPi / 180, 0, b.in("height_m")};
      EXPECT_NEAR(zenith_hydrostatic_m(b.in("pressure_hpa"), site),
                  b.out("zenith_m"),
                  b.tolerance);
      ++zhd_blocks;
      continue;
    }
    const Geodetic site{b.in("lat_rad"), b.in("lon_rad"), b.in("height_m")};
    if (model == "gmf") {
      check_gmf(b, site);
      ++gmf_blocks;
    } else {
      ASSERT_EQ(model, "gpt");
      check_gpt(b, site);
      ++gpt_blocks;
    }
  }
  EXPECT_GE(gmf_blocks, 1);
  EXPECT_GE(gpt_blocks, 3);
  EXPECT_GE(zhd_blocks, 5);
}

}  // namespace
}  // namespace stillpoint::models
