// SINEX files of the data folder.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

#include "stillpoint/products/antex_reader.h"
#include "stillpoint/products/clock_reader.h"
#include "stillpoint/products/sinex_reader.h"
#include "stillpoint/time/scales.h"
#include "tests/support/test_data.h"

namespace stillpoint::products {
namespace {

constexpr const char* kJax =
    "esbc-2020-177/JAX0MGXFIN_20202440000_01D_000_SOL.SNX.gz";
constexpr const char* kEsa =
    "sio-2024-328/ESA0OPSFIN_20241850000_01D_01D_SOL.SNX.gz";
constexpr const char* kIgs = "common/igs22P22013.ssc.gz";
constexpr const char* kPostSeismic = "common/ITRF2020-psd-gnss.snx.gz";
constexpr const char* kGpsAntennas = "sio-2024-328/igs20_gps.atx.gz";
constexpr const char* kWumClocks =
    "sio-2024-328/WUM0MGXRAP_20243280000_01D_30S_CLK.CLK.gz";

template <class T>
T value_of(Result<T> result) {
  if (!result) {
    ADD_FAILURE() << result.error().text();
  }
  return std::move(result.value());  // throws what ends the test
}

SinexProduct read_file(const std::string& path) {
  return value_of(read_sinex(value_of(open_unpacked(path))));
}

// kind: regression (numbers of rows between the marks of each block, counted
// by an independent text search; positions: lines with STAX)
TEST(SinexData, EveryRowOfTheBlocksIsThere) {
  struct Counts {
    const char* path;
    std::size_t sites, receivers, antennas, eccentricities, coordinates;
    std::size_t satellites;
  };
  const Counts all[] = {{kJax, 133, 133, 133, 133, 133, 54},
                        {kEsa, 150, 150, 150, 150, 150, 78},
                        {kIgs, 514, 514, 514, 514, 514, 0},
                        {kPostSeismic, 123, 0, 0, 0, 0, 0}};
  for (const Counts& expected : all) {
    const std::string path = STILLPOINT_DATA_OR_SKIP(expected.path);
    const SinexProduct product = read_file(path);
    EXPECT_EQ(product.sites.size(), expected.sites) << path;
    EXPECT_EQ(product.receivers.size(), expected.receivers) << path;
    EXPECT_EQ(product.antennas.size(), expected.antennas) << path;
    EXPECT_EQ(product.eccentricities.size(), expected.eccentricities) << path;
    EXPECT_EQ(product.coordinates.size(), expected.coordinates) << path;
    EXPECT_EQ(product.records_left_out, 0U) << path;
    const auto& antennas = product.offsets.antennas;
    EXPECT_EQ(std::count_if(antennas.begin(),
                            antennas.end(),
                            [](const AntennaPattern& a) {
                              return a.satellite.has_value();
                            }),
              expected.satellites)
        << path;
    // Every satellite has its number here.
    EXPECT_TRUE(std::none_of(
        antennas.begin(),
        antennas.end(),
        [](const AntennaPattern& a) { return !a.satellite && !a.svn.empty(); }))
        << path;
  }
}

// kind: published   source: the files of JAXA for 2020-244 and of ESA for
// 2024-185, as printed
TEST(SinexData, OffsetsAreThoseOfTheFiles) {
  const std::string jax_path = STILLPOINT_DATA_OR_SKIP(kJax);
  const std::string esa_path = STILLPOINT_DATA_OR_SKIP(kEsa);
  const SinexProduct jax = read_file(jax_path);
  EXPECT_TRUE(jax.agency.empty());
  EXPECT_EQ(format_gpst(*jax.from), "2020-08-31T00:00:18");
  AntennaPatterns patterns;
  ASSERT_TRUE(patterns.add(jax.offsets));
  const SinexProduct esa = read_file(esa_path);
  EXPECT_EQ(esa.agency, "ESA");
  EXPECT_EQ(format_gpst(*esa.from), "2024-07-03T00:00:00");
  EXPECT_EQ(format_gpst(*esa.until), "2024-07-04T00:00:00");
  ASSERT_TRUE(patterns.add(esa.offsets));
  const auto* const receiver = patterns.receiver("ASH701945E_M    SCIS");
  ASSERT_NE(receiver, nullptr);
  EXPECT_EQ(receiver->sinex_code, "igs14_%Y%m");
  EXPECT_EQ(receiver->frequency(System::kGps, 1)->offset_m,
            (AntennaVector{0.0011, -0.0007, 0.0876}));
  EXPECT_EQ(receiver->frequency(System::kGps, 2)->offset_m.up_or_z, 0.1192);
  // Of the individual antennas in ESA's file.
  const auto* const own = patterns.receiver("TRM59800.00     SCIS", "51123");
  ASSERT_NE(own, nullptr);
  EXPECT_EQ(own->serial, "51123");
  EXPECT_EQ(own->frequencies.size(), 7U);
  EXPECT_EQ(own->frequency(System::kGalileo, 8)->offset_m.up_or_z, 0.1221);
  EXPECT_EQ(own->frequency(System::kGalileo, 7)->offset_m,
            (AntennaVector{0.0002, 0, 0.1199}));
  // 2020-06-25, 67 days before the one file and 1469 before the other.
  const GnssTime day = value_of(parse_time("2020-06-25"));
  double days_off = 0;
  EXPECT_EQ(patterns.satellite({System::kGps, 1}, day), nullptr);
  const auto* const g01 =
      patterns.satellite_nearest({System::kGps, 1}, day, &days_off);
  ASSERT_NE(g01, nullptr);
  EXPECT_EQ(g01->frequency(System::kGps, 1)->offset_m,
            (AntennaVector{0.394, 0, 1.5018}));
  EXPECT_EQ(std::lround(days_off), -67);
  const auto* const e02 =
      patterns.satellite_nearest({System::kGalileo, 2}, day, &days_off);
  ASSERT_NE(e02, nullptr);
  EXPECT_EQ(e02->svn, "E211");
  EXPECT_EQ(e02->sinex_code, "TGVF_2187");
  EXPECT_EQ(e02->frequency(System::kGalileo, 5)->offset_m,
            (AntennaVector{0.1227, -0.0093, 0.6171}));
  EXPECT_EQ(std::lround(days_off), -1469);
}

// kind: cross (the igs20 antenna file of the same satellites, another format
// from other hands, of GPS week 2417; ESA's is of week 2317). G079 is left out:
// in week 2317 it still had the offsets of G078, as its row shows
// tolerance: 0.051 mm, half of the last printed digit
TEST(SinexData, GpsOffsetsMeetTheAntennaFile) {
  const std::string esa_path = STILLPOINT_DATA_OR_SKIP(kEsa);
  const std::string antennas_path = STILLPOINT_DATA_OR_SKIP(kGpsAntennas);
  const SinexProduct esa = read_file(esa_path);
  AntennaPatterns antennas;
  ASSERT_TRUE(antennas.add(
      value_of(read_antex(value_of(open_unpacked(antennas_path))))));
  const GnssTime noon = *esa.from + Duration{43'200};
  int compared = 0;
  for (const AntennaPattern& ours : esa.offsets.antennas) {
    if (!ours.satellite || ours.satellite->system != System::kGps) {
      continue;
    }
    const auto* const theirs = antennas.satellite(*ours.satellite, noon);
    ASSERT_NE(theirs, nullptr) << ours.svn;
    EXPECT_EQ(ours.svn, theirs->svn);
    if (ours.svn == "G079") {
      continue;
    }
    for (const AntennaFrequency& f : ours.frequencies) {
      const AntennaVector a = f.offset_m;
      const AntennaVector b = theirs->frequency(f.system, f.number)->offset_m;
      EXPECT_NEAR(a.north_or_x, b.north_or_x, 0.051e-3) << ours.svn;
      EXPECT_NEAR(a.east_or_y, b.east_or_y, 0.051e-3) << ours.svn;
      EXPECT_NEAR(a.up_or_z, b.up_or_z, 0.051e-3) << ours.svn;
      ++compared;
    }
  }
  EXPECT_EQ(compared, 60);
}

// kind: published   source: igs22P22013.ssc as printed; station list in the
// header of the WUM clock product of 2024-11-23
// tolerances: the horizontal rate of central Europe is 25 mm a year (from
// memory) within 3; height within 10 mm: daily solutions scatter by 3 to 5
TEST(SinexData, WettzellMovesAsEuropeDoes) {
  const std::string igs_path = STILLPOINT_DATA_OR_SKIP(kIgs);
  const std::string clocks_path = STILLPOINT_DATA_OR_SKIP(kWumClocks);
  const SinexProduct igs = read_file(igs_path);
  const GnssTime at = value_of(parse_time("2022-03-16T12:00:00"));
  const SiteCoordinate* const row = igs.coordinate("WTZR", at);
  ASSERT_NE(row, nullptr);
  EXPECT_EQ(row->position_m.x_m, 4075580.26638938);
  EXPECT_EQ(row->position_m.y_m, 931854.092336781);
  EXPECT_EQ(row->position_m.z_m, 4801568.30017473);
  EXPECT_EQ(row->sigma_m.z_m, 1.19051e-03);
  EXPECT_EQ(row->at.solution, "3");
  EXPECT_LE(*row->at.from, at);
  const auto eccentricity = std::find_if(
      igs.eccentricities.begin(),
      igs.eccentricities.end(),
      [](const SiteEccentricity& e) { return e.at.site == "WTZR"; });
  ASSERT_NE(eccentricity, igs.eccentricities.end());
  EXPECT_EQ(eccentricity->up_m, 0.071);
  const ClockProduct clocks =
      value_of(read_clocks(value_of(open_unpacked(clocks_path))));
  const auto later = std::find_if(
      clocks.stations.begin(), clocks.stations.end(), [](const auto& s) {
        return s.name.starts_with("WTZR");
      });
  ASSERT_NE(later, clocks.stations.end());
  const Enu moved = to_enu(later->position_m, row->position_m);
  const double years =
      (value_of(parse_time("2024-11-23T12:00:00")) - row->epoch).s /
      (365.25 * 86'400);
  EXPECT_NEAR(std::hypot(moved.e_m, moved.n_m) / years, 0.025, 0.003);
  EXPECT_NEAR(moved.u_m, 0, 0.010);
}

// kind: cross (approximate places of the same files: tenths of arc seconds are
// 3 m)
// tolerance: 5 m, two rounded angles and a height; where a site was typed in
// by hand it may be off by seconds of arc, so that nine in ten have to fit
TEST(SinexData, CoordinatesMeetTheApproximatePlaces) {
  for (const char* const file : {kJax, kEsa, kIgs}) {
    const std::string path = STILLPOINT_DATA_OR_SKIP(file);
    const SinexProduct product = read_file(path);
    std::size_t near = 0;
    for (const SiteIdentity& site : product.sites) {
      const auto* const row = product.coordinate(site.site, *product.from);
      ASSERT_NE(row, nullptr) << site.site;
      ASSERT_TRUE(site.approximate) << site.site;
      near += norm(to_ecef(*site.approximate) - row->position_m) < 5 ? 1U : 0U;
    }
    EXPECT_GE(near * 10, product.sites.size() * 9) << path;
  }
}

}  // namespace
}  // namespace stillpoint::products
