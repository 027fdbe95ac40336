#include "stillpoint/products/loading_reader.h"

#include <gtest/gtest.h>

#include <string>
#include <utility>

#include "tests/support/test_data.h"
#include "tests/support/vectors.h"

namespace stillpoint::products {
namespace {

constexpr double kDeg = 3.14159265358979323846 / 180;

Result<LoadingProduct> read(const std::string& text) {
  return read_loading(memory_stream(text, "made.blq"));
}

LoadingProduct read_file(const std::string& path) {
  auto stream = open_unpacked(path);
  if (!stream) {
    ADD_FAILURE() << stream.error().text();
  }
  auto product = read_loading(std::move(stream.value()));
  if (!product) {
    ADD_FAILURE() << product.error().text();
  }
  return std::move(product.value());
}

Error refused(const std::string& text) {
  auto product = read(text);
  EXPECT_FALSE(product) << text;
  return product ? Error{} : product.error();
}

// A row of eleven numbers from `first` on.
std::string row(double first) {
  std::string text;
  for (int k = 0; k < kLoadingTideCount; ++k) {
    text += ' ';
    text += std::to_string(first + k / 100.0);
  }
  return text + "\n";
}

std::string rows() {
  return row(0.1) + row(0.2) + row(0.3) + row(10) + row(20) + row(-30);
}

// kind: published; source: IERS Conventions (2010) ch. 7, coefficients of the
// test cases of routine HARDISP, as tests/vectors/nature_ocean_loading.vec
// lists them; the file is the same cases as a BLQ file
// tolerance: one rounding of degrees
TEST(LoadingReader, CoefficientsAreThoseOfTheTestCases) {
  const std::string path = STILLPOINT_DATA_OR_SKIP("common/hardisp.blq");
  const LoadingProduct product = read_file(path);
  ASSERT_EQ(product.stations.size(), 2U);
  EXPECT_FALSE(product.centre_of_mass);
  int checked = 0;
  for (const test::Block& block :
       test::read_vectors("nature_ocean_loading.vec")) {
    if (!block.has("amp_up")) {
      continue;
    }
    const LoadingTides* const station =
        find_station(product, block.word("site"));
    ASSERT_NE(station, nullptr) << block.name;
    const char* const parts[] = {"up", "west", "south"};
    for (std::size_t part = 0; part < 3; ++part) {
      const auto amplitudes = block.in_list(std::string("amp_") + parts[part]);
      const auto phases = block.in_list(std::string("ph_") + parts[part]);
      ASSERT_EQ(amplitudes.size(), 11U);
      ASSERT_EQ(phases.size(), 11U);
      for (std::size_t k = 0; k < amplitudes.size(); ++k) {
        EXPECT_EQ(station->amplitude_m[part][k], amplitudes[k]);
        EXPECT_NEAR(station->phase_rad[part][k], phases[k] * kDeg, 1e-15);
        ++checked;
      }
    }
    EXPECT_EQ(station->model, "CSR4.0_f_PP");
  }
  EXPECT_EQ(checked, 66);
  // kind: published; source: comments of the file
  const LoadingTides& onsala = product.stations[0];
  ASSERT_TRUE(onsala.place);
  EXPECT_NEAR(onsala.place->lon_rad, 11.9264 * kDeg, 1e-15);
  EXPECT_NEAR(onsala.place->lat_rad, 57.3958 * kDeg, 1e-15);
}

// kind: published; source: lines of the file
// tolerance: one rounding of degrees
TEST(LoadingReader, FileWithAFullHeaderIsRead) {
  const std::string path =
      STILLPOINT_DATA_OR_SKIP("common/complete-format.blq");
  const LoadingProduct product = read_file(path);
  ASSERT_EQ(product.stations.size(), 4U);
  const LoadingTides* const station = find_station(product, "goldstone");
  ASSERT_NE(station, nullptr);
  EXPECT_EQ(station->model, "CSR4.0_f");
  EXPECT_EQ(station->amplitude_m[2][10], 0.00003);
  EXPECT_NEAR(station->phase_rad[0][0], -2.7 * kDeg, 1e-16);
  EXPECT_NEAR(station->phase_rad[2][10], 4.5 * kDeg, 1e-16);
  ASSERT_TRUE(station->place);
  EXPECT_NEAR(station->place->lon_rad, 243.1105 * kDeg, 1e-15);
}

// kind: cross (made rows)
// tolerance: six printed decimals
TEST(LoadingReader, CommentsGiveModelPlaceAndCentreOfMass) {
  const auto product = read(
      "$$ COLUMN ORDER:  M2  S2  N2  K2  K1  O1  P1  Q1  MF  MM SSA\n"
      "$$ Ocean tide model: MADE1\n$$ CMC:  YES  (corr.tide centre)\n"
      "  LHOL 00000M000\n" +
      rows() +
      "$$\n  FERN\r\n$$ MADE2_PP ID: 2024-01-01\n"
      "$$ Fern, RADI TANG  lon/lat:   12.5  -45.25  100.000\n" +
      rows() + "\n  WILD\n$$ Computed by us\n$$ lon/lat: 1 91\n" + rows());
  ASSERT_TRUE(product) << product.error().text();
  ASSERT_EQ(product->stations.size(), 3U);
  EXPECT_EQ(product->centre_of_mass, true);
  EXPECT_EQ(product->stations[0].station, "LHOL 00000M000");
  EXPECT_EQ(product->stations[0].model, "MADE1");
  EXPECT_FALSE(product->stations[0].place);
  EXPECT_EQ(product->stations[1].model, "MADE2_PP");
  ASSERT_TRUE(product->stations[1].place);
  EXPECT_NEAR(product->stations[1].place->lat_rad, -45.25 * kDeg, 1e-15);
  EXPECT_EQ(product->stations[1].place->height_m, 100);
  EXPECT_EQ(product->stations[2].model, "MADE1");
  EXPECT_FALSE(product->stations[2].place);
  EXPECT_NEAR(product->stations[2].amplitude_m[1][10], 0.3, 1e-9);
  EXPECT_NEAR(product->stations[2].phase_rad[2][0], -30 * kDeg, 1e-15);
  EXPECT_EQ(read("$$ CMC:  NO  (x)\n  A\n" + rows())->centre_of_mass, false);
}

TEST(LoadingReader, CutAndOtherFilesAreRefused) {
  EXPECT_EQ(refused("").code, ErrorCode::kNoData);
  EXPECT_EQ(refused("$$ nothing\n").code, ErrorCode::kNoData);
  EXPECT_EQ(refused("  LHOL\n" + row(0.1) + row(0.2)).code,
            ErrorCode::kTruncated);
  EXPECT_EQ(refused("  LHOL\n" + row(0.1) + row(0.2).substr(0, 50)).code,
            ErrorCode::kTruncated);
  EXPECT_EQ(refused("$$ COLUMN ORDER:  S2  M2\n  LHOL\n" + rows()).code,
            ErrorCode::kUnsupported);
  const Error words = refused("a text\nof some\nlines\n");
  EXPECT_EQ(words.code, ErrorCode::kBadFormat);
  EXPECT_EQ(words.where, "made.blq:2");
  EXPECT_EQ(refused("  LHOL\n" + row(11) + rows()).code, ErrorCode::kBadFormat);
  EXPECT_EQ(refused("  LHOL\n" + row(0.1) + row(0.1) + row(0.1) + row(361) +
                    row(1) + row(1))
                .code,
            ErrorCode::kBadFormat);
  EXPECT_EQ(refused("  LHOL\n" + row(0.1).insert(10, " 1 ") + rows()).code,
            ErrorCode::kBadFormat);
  EXPECT_EQ(refused("  L\x01L\n" + rows()).code, ErrorCode::kBadFormat);
  EXPECT_EQ(refused(std::string(61, 'L') + "\n" + rows()).code,
            ErrorCode::kBadFormat);
}

}  // namespace
}  // namespace stillpoint::products
