// Clock, bias and antenna files of the data folder: read, written, read again.
#include <gtest/gtest.h>

#include <bit>
#include <cmath>
#include <map>
#include <string>
#include <vector>

#include "stillpoint/products/antex_reader.h"
#include "stillpoint/products/antex_writer.h"
#include "stillpoint/products/bias_reader.h"
#include "stillpoint/products/bias_writer.h"
#include "stillpoint/products/clock_reader.h"
#include "stillpoint/products/clock_writer.h"
#include "stillpoint/products/product_test_support.h"
#include "tests/support/test_data.h"

namespace stillpoint::products {
namespace {

constexpr const char* kGrgClocks =
    "esbc-2020-177/GRG0MGXFIN_20201770000_01D_30S_CLK.CLK.gz";
constexpr const char* kWumClocks =
    "sio-2024-328/WUM0MGXRAP_20243280000_01D_30S_CLK.CLK.gz";
constexpr const char* kWumBiases =
    "sio-2024-328/WUM0MGXRAP_20243280000_01D_01D_OSB.BIA.gz";
constexpr const char* kCodBiases = "common/code.bia.gz";
constexpr const char* kAntennas[] = {
    "common/igs14_small.atx.gz",
    "sio-2024-328/igs20_gps.atx.gz",
    "wettzell-2020-177/igs20_wettzell_trim.atx.gz"};

template <class T>
T value_of(Result<T> result) {
  if (!result) {
    ADD_FAILURE() << result.error().text();
  }
  return std::move(result.value());  // throws what ends the test
}

ClockProduct read_clock_file(const std::string& path) {
  return value_of(read_clocks(value_of(open_unpacked(path))));
}

// All bits, NaN included.
bool same(const ClockSample& a, const ClockSample& b) {
  return std::bit_cast<std::uint64_t>(a.clock_s) ==
             std::bit_cast<std::uint64_t>(b.clock_s) &&
         std::bit_cast<std::uint32_t>(a.sigma_s) ==
             std::bit_cast<std::uint32_t>(b.sigma_s) &&
         a.epoch == b.epoch;
}

struct ClockCounts {
  const char* path;
  std::size_t epochs, satellites, samples, wide_lane, phase_centres;
};

// kind: regression (counts by an independent text search over the files: lines
// that begin with "AS ", their distinct names and times, lines "WL …")
TEST(ProductFilesData, ClocksComeBackFromWhatIsWritten) {
  const ClockCounts all[] = {{kGrgClocks, 2880, 75, 215'999, 66, 1},
                             {kWumClocks, 2881, 109, 314'029, 0, 4}};
  for (const ClockCounts& expected : all) {
    const std::string path = STILLPOINT_DATA_OR_SKIP(expected.path);
    const ClockProduct product = read_clock_file(path);
    EXPECT_EQ(product.epochs.size(), expected.epochs);
    EXPECT_EQ(product.series.size(), expected.satellites);
    std::size_t samples = 0;
    for (const ClockSeries& series : product.series) {
      samples += series.samples.size();
    }
    EXPECT_EQ(samples, expected.samples);
    EXPECT_EQ(product.wide_lane.size(), expected.wide_lane);
    EXPECT_EQ(product.phase_centres.size(), expected.phase_centres);
    EXPECT_EQ(product.records_left_out, 0U);
    EXPECT_EQ(product.references.size(), 1U);

    TextSink sink;
    ASSERT_TRUE(write_clocks(product, sink));
    const ClockProduct again =
        value_of(read_clocks(memory_stream(sink.text, "written")));
    EXPECT_EQ(again.epochs, product.epochs);
    ASSERT_EQ(again.series.size(), product.series.size());
    std::size_t unequal = 0;
    for (std::size_t i = 0; i < again.series.size(); ++i) {
      const auto& a = again.series[i].samples;
      const auto& b = product.series[i].samples;
      EXPECT_EQ(again.series[i].name, product.series[i].name);
      ASSERT_EQ(a.size(), b.size());
      for (std::size_t k = 0; k < a.size(); ++k) {
        unequal += same(a[k], b[k]) ? 0U : 1U;
      }
    }
    EXPECT_EQ(unequal, 0U);
    EXPECT_EQ(again.wide_lane, product.wide_lane);
    EXPECT_EQ(again.code_biases, product.code_biases);
    EXPECT_EQ(again.phase_centres, product.phase_centres);
    EXPECT_EQ(again.references, product.references);
    EXPECT_EQ(again.comments, product.comments);
    EXPECT_EQ(again.frame_label, product.frame_label);
    EXPECT_EQ(again.analysis_centre, product.analysis_centre);
    EXPECT_EQ(again.stations.size(), product.stations.size());
    TextSink second;
    ASSERT_TRUE(write_clocks(again, second));
    EXPECT_EQ(second.text, sink.text);
  }
}

// kind: published   source: first and last lines of the files
// tolerance: none, printed digits
TEST(ProductFilesData, ClocksAreThoseOfTheLines) {
  const std::string path = STILLPOINT_DATA_OR_SKIP(kGrgClocks);
  ClockProduct product = read_clock_file(path);
  EXPECT_EQ(product.analysis_centre, "GRG");
  EXPECT_EQ(product.wide_lane.back().sat.text(), "G32");
  EXPECT_EQ(product.wide_lane.back().bias_cyc, -1.473);
  EXPECT_EQ(product.wide_lane.front().bias_cyc, -0.44);
  EXPECT_EQ(product.wide_lane.front().second_band, '5');
  const GnssTime first = product.epochs.front();
  const GnssTime last = product.epochs.back();
  PreciseClocks clocks;
  clocks.add(std::move(product));
  EXPECT_EQ(*clocks.clock_s({System::kGalileo, 1}, first), -0.884707516318e-03);
  const auto g32 = clocks.clock_at({System::kGps, 32}, last);
  EXPECT_EQ(g32->clock_s, 0.306534437941e-03);
  EXPECT_EQ(static_cast<float>(g32->sigma_s), 0.706462030878e-11F);
}

struct Spread {
  double sum_of_squares_m2 = 0;
  int count = 0, within_one = 0, within_two = 0;
};

// Every second sample left out and met by the others.
std::map<System, Spread> left_out(const ClockProduct& full) {
  ClockProduct thin = full;
  for (ClockSeries& series : thin.series) {
    std::erase_if(series.samples, [](const ClockSample& sample) {
      return sample.epoch % 2 == 1;
    });
  }
  PreciseClocks clocks;
  clocks.add(std::move(thin));
  std::map<System, Spread> spread;
  for (const ClockSeries& series : full.series) {
    for (const ClockSample& sample : series.samples) {
      if (sample.epoch % 2 == 0) {
        continue;
      }
      const auto value =
          clocks.clock_at(*series.satellite, full.epochs[sample.epoch]);
      if (!value || std::isnan(value->interpolation_sigma_s)) {
        continue;
      }
      const double off_s = value->clock_s - sample.clock_s;
      const double units = std::abs(off_s) / value->interpolation_sigma_s;
      Spread& s = spread[series.satellite->system];
      s.sum_of_squares_m2 += std::pow(kSpeedOfLightMps * off_s, 2);
      ++s.count;
      s.within_one += units < 1 ? 1 : 0;
      s.within_two += units < 2 ? 1 : 0;
    }
  }
  return spread;
}

// kind: cross (the samples left out)
// tolerance: a normal law has 68 % within one sigma and 95 % within two; clocks
// are no pure random walk: 60 % to 90 % and 88 %
TEST(ProductFilesData, ClockErrorsBetweenSamplesAreAsLargeAsSigmaSays) {
  for (const char* file : {kGrgClocks, kWumClocks}) {
    const std::string path = STILLPOINT_DATA_OR_SKIP(file);
    const ClockProduct full = read_clock_file(path);
    for (const auto& [system, s] : left_out(full)) {
      const double count = s.count;
      const std::string name =
          full.analysis_centre + "_" + system_letter(system);
      RecordProperty(
          name + "_mm_rms",
          std::to_string(1e3 * std::sqrt(s.sum_of_squares_m2 / count)));
      RecordProperty(name + "_within_1_sigma",
                     std::to_string(s.within_one / count));
      RecordProperty(name + "_within_2_sigma",
                     std::to_string(s.within_two / count));
      EXPECT_GT(s.within_one / count, 0.60) << name;
      EXPECT_LT(s.within_one / count, 0.90) << name;
      EXPECT_GT(s.within_two / count, 0.88) << name;
    }
    PreciseClocks clocks;
    std::size_t jumps = 0;
    clocks.add(full);
    for (const ClockSeries& series : full.series) {
      jumps += clocks.jumps(*series.satellite);
    }
    RecordProperty(full.analysis_centre + "_jumps", std::to_string(jumps));
    // Few of some 215 000 and 314 000 intervals.
    EXPECT_LT(jumps, 400U) << file;
  }
}

TEST(ProductFilesData, BiasesComeBackFromWhatIsWritten) {
  for (const char* file : {kWumBiases, kCodBiases}) {
    const std::string path = STILLPOINT_DATA_OR_SKIP(file);
    const BiasProduct product =
        value_of(read_biases(value_of(open_unpacked(path))));
    EXPECT_EQ(product.rows.size(), product.declared_rows) << file;
    EXPECT_EQ(product.clock_reference(System::kGalileo),
              (std::vector<std::string>{"C1C", "C5Q"}));
    TextSink sink;
    ASSERT_TRUE(write_biases(product, sink));
    const BiasProduct again =
        value_of(read_biases(memory_stream(sink.text, "written")));
    EXPECT_EQ(again.rows, product.rows);
    EXPECT_EQ(again.description, product.description);
    EXPECT_EQ(again.blocks, product.blocks);
    TextSink second;
    ASSERT_TRUE(write_biases(again, second));
    EXPECT_EQ(second.text, sink.text);
  }
}

// kind: published   source: rows of the files
// tolerance: 1e-21 s, one rounding of nanoseconds
TEST(ProductFilesData, BiasesAreThoseOfTheRows) {
  const std::string path = STILLPOINT_DATA_OR_SKIP(kWumBiases);
  const BiasProduct product =
      value_of(read_biases(value_of(open_unpacked(path))));
  CodePhaseBiases biases;
  ASSERT_TRUE(biases.add(product));
  const GnssTime noon = *product.from + Duration{43'200};
  EXPECT_NEAR(*biases.osb_s({System::kGps, 2}, {'1', 'C'}, false, noon),
              -10.2490686575392e-9,
              1e-21);
  EXPECT_NEAR(*biases.osb_s({System::kGps, 3}, {'5', 'Q'}, true, *product.from),
              0.751709764384389e-9,
              1e-21);
}

// kind: cross (rows of 15 minutes that follow each other, by three readings of
// what their slope counts from)
// tolerance: the start of the row is the best of the three by a third, and
// meets the next row within 4 ps rms (noise of the product itself)
TEST(ProductFilesData, SlopesOfBiasesCountFromTheStartOfTheRow) {
  const std::string path = STILLPOINT_DATA_OR_SKIP(kWumBiases);
  const BiasProduct product =
      value_of(read_biases(value_of(open_unpacked(path))));
  double start = 0, middle = 0, end = 0;
  int count = 0;
  for (std::size_t i = 1; i < product.rows.size(); ++i) {
    const BiasRow& a = product.rows[i - 1];
    const BiasRow& b = product.rows[i];
    if (!a.slope || !b.slope || a.satellite != b.satellite ||
        a.first != b.first || a.until != b.from) {
      continue;
    }
    const double length_s = (*a.until - *a.from).s;
    const double step_a = a.slope->per_s * length_s;
    const double step_b = b.slope->per_s * length_s;
    start += std::pow(a.value + step_a - b.value, 2);
    middle += std::pow(a.value + step_a / 2 - (b.value - step_b / 2), 2);
    end += std::pow(a.value - (b.value - step_b), 2);
    ++count;
  }
  ASSERT_GT(count, 1000);
  const double start_ns = std::sqrt(start / count);
  RecordProperty("start_ps", std::to_string(1e3 * start_ns));
  RecordProperty("middle_ps", std::to_string(1e3 * std::sqrt(middle / count)));
  RecordProperty("end_ps", std::to_string(1e3 * std::sqrt(end / count)));
  EXPECT_LT(start_ns, 0.004);
  EXPECT_GT(std::sqrt(middle / count), 1.33 * start_ns);
  EXPECT_GT(std::sqrt(end / count), 1.33 * start_ns);
}

// kind: regression (counts by an independent text search: START OF ANTENNA,
// START OF FREQUENCY)
TEST(ProductFilesData, AntennasComeBackFromWhatIsWritten) {
  const std::pair<std::size_t, std::size_t> counts[] = {
      {5, 10}, {118, 289}, {10, 44}};
  for (std::size_t i = 0; i < std::size(kAntennas); ++i) {
    const std::string path = STILLPOINT_DATA_OR_SKIP(kAntennas[i]);
    const AntennaProduct product =
        value_of(read_antex(value_of(open_unpacked(path))));
    EXPECT_EQ(product.antennas.size(), counts[i].first);
    std::size_t frequencies = 0;
    for (const AntennaPattern& antenna : product.antennas) {
      frequencies += antenna.frequencies.size();
      EXPECT_EQ(antenna.satellite.has_value(), !antenna.svn.empty());
    }
    EXPECT_EQ(frequencies, counts[i].second);
    TextSink sink;
    ASSERT_TRUE(write_antex(product, sink));
    const AntennaProduct again =
        value_of(read_antex(memory_stream(sink.text, "written")));
    EXPECT_EQ(again.antennas, product.antennas);
    TextSink second;
    ASSERT_TRUE(write_antex(again, second));
    EXPECT_EQ(second.text, sink.text);
  }
}

// kind: cross (the NOAZI row is the mean of the rows by azimuth, which
// calibrations make it; common practice, no source)
// tolerance: 0.2 mm, rows are printed to 0.01 mm and means may be weighted
TEST(ProductFilesData, PatternsByAzimuthGoAroundTheirMean) {
  const std::string path = STILLPOINT_DATA_OR_SKIP(kAntennas[2]);
  const AntennaProduct product =
      value_of(read_antex(value_of(open_unpacked(path))));
  constexpr double kDeg = 3.14159265358979323846 / 180;
  int grids = 0;
  for (const AntennaPattern& antenna : product.antennas) {
    for (const AntennaFrequency& f : antenna.frequencies) {
      if (f.by_azimuth_m.empty()) {
        continue;
      }
      ++grids;
      for (double zenith = 0; zenith <= 80; zenith += 5) {
        double sum_m = 0;
        for (int azimuth = 0; azimuth < 360; azimuth += 5) {
          sum_m += antenna.variation_m(f, zenith * kDeg, azimuth * kDeg);
        }
        const auto node = static_cast<std::size_t>(std::lround(zenith / 5));
        EXPECT_NEAR(sum_m / 72, static_cast<double>(f.by_zenith_m[node]), 2e-4)
            << antenna.type << " " << zenith;
      }
    }
  }
  EXPECT_GT(grids, 10);
}

TEST(ProductFilesData, ReceiverTypesThatAreNotAskedForAreNotKept) {
  const std::string path = STILLPOINT_DATA_OR_SKIP(kAntennas[1]);
  AntexReaderOptions options;
  options.receiver_types = std::vector<std::string>{};
  options.satellites_at = parse_time("2024-11-23T12:00:00").value();
  const AntennaProduct product =
      value_of(read_antex(value_of(open_unpacked(path)), options));
  EXPECT_GT(product.antennas.size(), 29U);
  EXPECT_LT(product.antennas.size(), 33U);
  for (const AntennaPattern& antenna : product.antennas) {
    EXPECT_TRUE(antenna.satellite);
  }
}

}  // namespace
}  // namespace stillpoint::products
