#include "stillpoint/aids/loading_tides.h"

#include <gtest/gtest.h>

namespace stillpoint {
namespace {

LoadingProduct made() {
  LoadingProduct product;
  for (const char* name :
       {"Larch Hollow", "LHOL", "lhol", "FERN00XXX", "WILD"}) {
    product.stations.emplace_back();
    product.stations.back().station = name;
  }
  return product;
}

TEST(LoadingTides, StationsAreFoundWhateverTheCaseOfLetters) {
  const LoadingProduct product = made();
  EXPECT_EQ(find_station(product, "LARCH HOLLOW"), &product.stations[0]);
  EXPECT_EQ(find_station(product, "lhol"), &product.stations[1]);
  EXPECT_EQ(find_station(product, "fern00xxx"), &product.stations[3]);
}

TEST(LoadingTides, LongNamesAreFoundByTheirFirstFourLetters) {
  const LoadingProduct product = made();
  EXPECT_EQ(find_station(product, "LHOL00XXX"), &product.stations[1]);
  EXPECT_EQ(find_station(product, "wild12abc"), &product.stations[4]);
}

TEST(LoadingTides, NothingElseIsGuessed) {
  const LoadingProduct product = made();
  EXPECT_EQ(find_station(product, "FERN"), nullptr);
  EXPECT_EQ(find_station(product, "FERN01XXX"), nullptr);
  EXPECT_EQ(find_station(product, "LHO"), nullptr);
  EXPECT_EQ(find_station(product, "LHOL0"), nullptr);
  EXPECT_EQ(find_station(product, "WILDFLOWE"), nullptr);  // nine letters
  EXPECT_EQ(find_station(product, "WILD0XXXX"), nullptr);
  EXPECT_EQ(find_station(product, "WILD00XX1"), nullptr);
  EXPECT_EQ(find_station(product, ""), nullptr);
  EXPECT_EQ(find_station(LoadingProduct{}, "LHOL"), nullptr);
}

}  // namespace
}  // namespace stillpoint
