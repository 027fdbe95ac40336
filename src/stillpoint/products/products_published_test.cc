// kind: published   source: block by block in tests/vectors/products.vec, with
// the tolerance and its reason
// Lines of published samples: tests/vectors/products.vec.
#include <gtest/gtest.h>

#include <algorithm>
#include <string>

#include "stillpoint/products/antex_reader.h"
#include "stillpoint/products/bias_reader.h"
#include "stillpoint/products/clock_reader.h"
#include "stillpoint/products/product_test_support.h"
#include "stillpoint/time/scales.h"
#include "tests/support/vectors.h"

namespace stillpoint::products {
namespace {

std::string line_of(const test::Block& block, const std::string& key) {
  std::string line = block.input.at(key);
  std::replace(line.begin(), line.end(), '_', ' ');
  return line + "\n";
}

template <class F>
int for_each_of(const std::string& reader, F check) {
  int count = 0;
  for (const test::Block& block : test::read_vectors("products.vec")) {
    if (block.input.at("reader") == reader) {
      SCOPED_TRACE(block.name);
      check(block);
      ++count;
    }
  }
  return count;
}

void check_clock(const test::Block& block) {
  const std::string text =
      labelled("3.04                 C                    M",
               "RINEX VERSION / TYPE",
               65) +
      labelled("   GPS", "TIME SYSTEM ID", 65) +
      labelled("", "END OF HEADER", 65) + line_of(block, "line") +
      (block.input.count("more") != 0 ? line_of(block, "more") : "");
  const auto product = read_clocks(memory_stream(text, "sample"));
  ASSERT_TRUE(product) << product.error().text();
  ASSERT_EQ(product->series.size(), 1U);
  const ClockSeries& series = product->series[0];
  EXPECT_EQ(series.name, block.expect.at("name"));
  EXPECT_EQ(series.satellite.has_value(), series.name.size() == 3);
  EXPECT_EQ(format_gpst(product->epochs.at(0)), block.expect.at("epoch"));
  EXPECT_EQ(series.samples.at(0).clock_s, block.out("clock_s"));
  EXPECT_NEAR(static_cast<double>(series.samples[0].sigma_s),
              block.out("sigma_s"),
              block.tolerance * std::abs(block.out("sigma_s")));
  if (block.expect.count("rate") != 0) {
    EXPECT_EQ(series.rates.at(0).rate, block.out("rate"));
    EXPECT_EQ(series.rates[0].acceleration_sigma_per_s,
              block.out("acceleration_sigma_per_s"));
  }
}

// kind: published   source and tolerance: in the .vec file
TEST(ProductsPublished, ClockRecordsOfTheSamplesAreRead) {
  EXPECT_EQ(for_each_of("clock", check_clock), 2);
}

void check_bias(const test::Block& block) {
  const std::string text =
      "%=BIA 1.00 COD 2024:267:32885 IGS 2024:237:00000 2024:267:00000 A "
      "00000341\n+BIAS/SOLUTION\n" +
      line_of(block, "line") + "-BIAS/SOLUTION\n%=ENDBIA\n";
  const auto product = read_biases(memory_stream(text, "sample"));
  ASSERT_TRUE(product) << product.error().text();
  EXPECT_EQ(product->declared_rows, 341U);
  ASSERT_EQ(product->rows.size(), 1U);
  const BiasRow& row = product->rows[0];
  EXPECT_EQ(row.svn, block.expect.at("svn"));
  EXPECT_EQ(row.satellite->text(), block.expect.at("satellite"));
  EXPECT_EQ(row.first, block.expect.at("observable"));
  EXPECT_EQ(format_gpst(*row.from), block.expect.at("from"));
  EXPECT_EQ(format_gpst(*row.until), block.expect.at("until"));
  CodePhaseBiases biases;
  ASSERT_TRUE(biases.add(*product));
  const auto signal = parse_bias_signal(row.first);
  EXPECT_NEAR(
      *biases.osb_s(*row.satellite, signal->signal, signal->phase, *row.from),
      block.out("osb_s"),
      block.tolerance);
  EXPECT_NEAR(
      *biases.sigma_s(*row.satellite, signal->signal, signal->phase, *row.from),
      block.out("sigma_s"),
      block.tolerance);
}

// kind: published   source and tolerance: in the .vec file
TEST(ProductsPublished, BiasRowOfTheSampleIsRead) {
  EXPECT_EQ(for_each_of("bias", check_bias), 1);
}

void check_antex(const test::Block& block) {
  std::string offset = line_of(block, "line");
  offset.pop_back();
  const std::string text =
      labelled("     1.4            M", "ANTEX VERSION / SYST") +
      labelled("A", "PCV TYPE / REFANT") + labelled("", "END OF HEADER") +
      labelled("", "START OF ANTENNA") +
      labelled("SPDEMO-A1       NONE", "TYPE / SERIAL NO") +
      labelled("     0.0   0.0   0.0", "ZEN1 / ZEN2 / DZEN") +
      labelled("   C01", "START OF FREQUENCY") +
      labelled(offset, "NORTH / EAST / UP") + "   NOAZI    0.00\n" +
      labelled("   C01", "END OF FREQUENCY") + labelled("", "END OF ANTENNA");
  const auto product = read_antex(memory_stream(text, "sample"));
  ASSERT_TRUE(product) << product.error().text();
  const AntennaFrequency* const f =
      product->antennas.at(0).frequency(System::kBeidou, 1);
  ASSERT_NE(f, nullptr);
  EXPECT_NEAR(f->offset_m.north_or_x, block.out("north_m"), block.tolerance);
  EXPECT_NEAR(f->offset_m.east_or_y, block.out("east_m"), block.tolerance);
  EXPECT_NEAR(f->offset_m.up_or_z, block.out("up_m"), block.tolerance);
}

// kind: published   source and tolerance: in the .vec file
TEST(ProductsPublished, AntennaOffsetOfTheSampleIsRead) {
  EXPECT_EQ(for_each_of("antex", check_antex), 1);
}

}  // namespace
}  // namespace stillpoint::products
