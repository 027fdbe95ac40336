#include "stillpoint/gnss/accuracy_index.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace stillpoint {
namespace {

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();

// kind: published   source: IS-GPS-200 20.3.3.3.1.3, values of the nominal
// formula as printed there (table from memory); tolerance: exact
TEST(UraIndex, NominalValues) {
  EXPECT_EQ(ura_m(0), 2.0);
  EXPECT_EQ(ura_m(1), 2.8);
  EXPECT_EQ(ura_m(3), 5.7);
  EXPECT_EQ(ura_m(5), 11.3);
  EXPECT_EQ(ura_m(6), 16.0);
  EXPECT_EQ(ura_m(14), 4096.0);
  EXPECT_TRUE(std::isnan(ura_m(16)));
}

// kind: published   source: IS-GPS-200 20.3.3.3.1.3 (table from memory)
TEST(UraIndex, UpperValuesOfTheTableBelongToTheirIndex) {
  EXPECT_EQ(ura_index(0.0), 0);
  EXPECT_EQ(ura_index(2.4), 0);
  EXPECT_EQ(ura_index(2.41), 1);
  EXPECT_EQ(ura_index(3.4), 1);
  EXPECT_EQ(ura_index(24.0), 6);
  EXPECT_EQ(ura_index(6144.0), 14);
  EXPECT_EQ(ura_index(6145.0), 15);
  EXPECT_EQ(ura_index(kNan), 15);
}

// kind: published   source: Galileo OS SIS ICD 5.1.12 (table from memory)
TEST(SisaIndex, StepsGrow) {
  EXPECT_EQ(sisa_m(0), 0.0);
  EXPECT_EQ(sisa_m(49), 0.49);
  EXPECT_EQ(sisa_m(50), 0.5);
  EXPECT_EQ(sisa_m(74), 0.98);
  EXPECT_EQ(sisa_m(75), 1.0);
  EXPECT_EQ(sisa_m(99), 1.96);
  EXPECT_EQ(sisa_m(100), 2.0);
  EXPECT_EQ(sisa_m(107), 3.12);
  EXPECT_EQ(sisa_m(125), 6.0);
  EXPECT_TRUE(std::isnan(sisa_m(126)));
  EXPECT_TRUE(std::isnan(sisa_m(255)));
  EXPECT_EQ(sisa_index(6.1), 255);
  EXPECT_EQ(sisa_index(kNan), 255);
}

// kind: published   source: GLONASS ICD table 4.4
TEST(GlonassAccuracyIndex, Table) {
  EXPECT_EQ(glonass_accuracy_m(0), 1.0);
  EXPECT_EQ(glonass_accuracy_m(2), 2.5);
  EXPECT_EQ(glonass_accuracy_m(14), 512.0);
  EXPECT_TRUE(std::isnan(glonass_accuracy_m(15)));
  EXPECT_EQ(glonass_accuracy_index(600), 15);
  EXPECT_EQ(glonass_accuracy_index(kNan), 15);
}

TEST(AccuracyIndex, EveryIndexComesBack) {
  for (unsigned i = 0; i < 16; ++i) {
    EXPECT_EQ(ura_index(ura_m(i)), i);
    EXPECT_EQ(glonass_accuracy_index(glonass_accuracy_m(i)), i);
  }
  for (unsigned i = 0; i < 126; ++i) {
    EXPECT_EQ(sisa_index(sisa_m(i)), i);
  }
}

}  // namespace
}  // namespace stillpoint
