// Phase centres of satellites and receivers out of SINEX.
#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "stillpoint/products/sinex_reader.h"
#include "stillpoint/products/sinex_test_support.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::products {
namespace {

const AntennaFrequency* offset(const AntennaPattern& antenna,
                               const char* code) {
  const auto system = system_from_letter(code[0]);
  return antenna.frequency(*system, code[1] - '0');
}

const std::string kNames =
    " E210 01 2016-030B P 24:184:86382 24:185:43182 GALILEO-2           \n"
    " E210 05 2016-030B P 24:185:43182 00:000:00000 GALILEO-2           \n"
    " G063 -- 2011-036A P 24:184:86382 24:185:86382 BLOCK IIF           \n";

// kind: cross (the column heads of the format: Z, X, Y of each frequency)
TEST(SinexOffsets, SatelliteOffsetsTurnFromZxyToXyz) {
  // SATELLITE/ID may come later.
  const SinexProduct product = file_of(
      block(
          "SATELLITE/PHASE_CENTER",
          " E210 1 0.7261 0.1213 -.0092 5 0.6171 0.1227 -.0093  DEMO_2187 A F\n"
          " E210 7 0.6271 0.1327 -.0094                         DEMO_2187 A F\n"
          " G01  1 1.5018  .3940  .0000 2 1.4018  .3940  .0001 igs14_%Y%m A E\n"
          " R857 1 2.4748 -.5450 0.0000 2 2.4749 -.5450 0.0000 IGS20_2317 A F\n"
          " G063 1 1.1111 0.2222 0.3333 2 1.1111 0.2222 0.3333 IGS20_2317 A F\n"
          " X099 1 1.0000 0.0000 0.0000 2 1.0000 0.0000 0.0000 IGS20_2317 A F"
          "\n") +
      block("SATELLITE/ID", kNames));
  EXPECT_EQ(product.records_left_out, 1U);
  EXPECT_TRUE(product.offsets.absolute);
  const auto& antennas = product.offsets.antennas;
  ASSERT_EQ(antennas.size(), 5U);
  const AntennaPattern& galileo = antennas[0];
  EXPECT_EQ(galileo.satellite->text(), "E01");
  EXPECT_EQ(antennas[1].satellite->text(), "E05");
  EXPECT_EQ(galileo.serial, "E01");
  EXPECT_EQ(galileo.svn, "E210");
  EXPECT_EQ(galileo.cospar, "2016-030B");
  EXPECT_EQ(galileo.type, "GALILEO-2");
  EXPECT_EQ(galileo.sinex_code, "DEMO_2187");
  EXPECT_EQ(galileo.agency, "LHO");
  EXPECT_EQ(format_gpst(*galileo.valid_from), "2024-07-03T00:00:00");
  EXPECT_EQ(format_gpst(*galileo.valid_until), "2024-07-03T12:00:00");
  EXPECT_FALSE(antennas[1].valid_until);
  ASSERT_EQ(galileo.frequencies.size(), 3U);
  EXPECT_EQ(offset(galileo, "E1")->offset_m,
            (AntennaVector{0.1213, -0.0092, 0.7261}));
  EXPECT_EQ(offset(galileo, "E5")->offset_m,
            (AntennaVector{0.1227, -0.0093, 0.6171}));
  EXPECT_EQ(offset(galileo, "E7")->offset_m,
            (AntennaVector{0.1327, -0.0094, 0.6271}));
  EXPECT_TRUE(galileo.frequencies[0].by_zenith_m.empty());
  const AntennaPattern& by_number = antennas[2];
  EXPECT_EQ(by_number.satellite->text(), "G01");
  EXPECT_TRUE(by_number.svn.empty());
  EXPECT_EQ(by_number.sinex_code, "igs14_%Y%m");
  EXPECT_EQ(by_number.valid_from, product.from);
  EXPECT_EQ(by_number.valid_until, product.until);
  EXPECT_EQ(offset(by_number, "G2")->offset_m,
            (AntennaVector{0.394, 0.0001, 1.4018}));
  // Without SATELLITE/ID, and with a row there that tells no number.
  for (const std::size_t i : {3U, 4U}) {
    EXPECT_FALSE(antennas[i].satellite);
    EXPECT_TRUE(antennas[i].type.empty());
    EXPECT_EQ(antennas[i].svn, i == 3 ? "R857" : "G063");
  }
  AntennaPatterns patterns;
  ASSERT_TRUE(patterns.add(product.offsets));
  EXPECT_EQ(
      patterns.satellite({System::kGalileo, 5}, *product.until)->valid_from,
      antennas[1].valid_from);
}

// kind: cross (the column heads of the format: up, north, east)
TEST(SinexOffsets, ReceiverOffsetsOfBothBlocksMakeOneAntenna) {
  const SinexProduct product = file_of(
      block("SITE/GPS_PHASE_CENTER",
            " SPDEMO-A1       NONE -----  .0918  .0007 -.0005  .1204 -.0003 "
            "-.0007 igs14_%Y%m\n"
            " SPDEMO-A1       NONE 51123 0.0866 0.0017 0.0002 0.1171 0.0003 "
            "-.0001 IGS20_2317\n"
            " SPDEMO-A1       NONE 51123 0.0866 0.0017 0.0002 0.1171 0.0003 "
            "-.0001 IGS20_2317\n"
            " SPDEMO-A1       NONE 51123 0.0966 0.0017 0.0002                "
            "      IGS20_2317\n") +
      block("SITE/GAL_PHASE_CENTER",
            " SPDEMO-A1       NONE 51123 0.0101 0.0102 0.0103 0.0501 0.0502 "
            "0.0503 IGS20_2317\n"
            " SPDEMO-A1       NONE 51123 0.0601 0.0602 0.0603 0.0701 0.0702 "
            "0.0703 IGS20_2317\n"
            " SPDEMO-A1       NONE 51123 0.0801 0.0802 0.0803               "
            "       IGS20_2317\n"
            " SPDEMO-A1       NONE 51123 0.0101 0.0102 0.0103 0.0501 0.0502 "
            "0.0503 IGS20_2317\n"
            " SPDEMO-A1       NONE 51123 0.0601 0.0602 0.0603 0.0701 0.0702 "
            "0.0703 IGS20_2317\n"
            " SPDEMO-A1       NONE 51123 0.0801 0.0802 0.0803               "
            "       IGS20_2317\n"
            " SPDEMO-A2       DOME -----                      0.0501 0.0502 "
            "0.0503 IGS20_2317\n"));
  const auto& antennas = product.offsets.antennas;
  ASSERT_EQ(antennas.size(), 4U);
  const AntennaPattern& all = antennas[0];
  EXPECT_EQ(all.type, "SPDEMO-A1       NONE");
  EXPECT_TRUE(all.serial.empty());
  EXPECT_FALSE(all.satellite);
  EXPECT_EQ(all.sinex_code, "igs14_%Y%m");
  ASSERT_EQ(all.frequencies.size(), 2U);
  EXPECT_EQ(offset(all, "G1")->offset_m,
            (AntennaVector{0.0007, -0.0005, 0.0918}));
  EXPECT_EQ(offset(all, "G2")->offset_m,
            (AntennaVector{-0.0003, -0.0007, 0.1204}));
  const AntennaPattern& one = antennas[1];
  EXPECT_EQ(one.serial, "51123");
  ASSERT_EQ(one.frequencies.size(), 7U);
  EXPECT_EQ(offset(one, "G1")->offset_m.up_or_z, 0.0866);
  for (const int number : {1, 5, 6, 7, 8}) {
    const auto* const f = one.frequency(System::kGalileo, number);
    ASSERT_NE(f, nullptr) << number;
    EXPECT_EQ(std::lround(f->offset_m.up_or_z * 1e4), number * 100 + 1);
    EXPECT_EQ(std::lround(f->offset_m.north_or_x * 1e4), number * 100 + 2);
    EXPECT_EQ(std::lround(f->offset_m.east_or_y * 1e4), number * 100 + 3);
  }
  // The same serial number with other values stays; its repeat does not.
  EXPECT_EQ(antennas[2].serial, "51123");
  EXPECT_EQ(antennas[2].frequencies.size(), 1U);
  EXPECT_EQ(antennas[3].type, "SPDEMO-A2       DOME");
  ASSERT_EQ(antennas[3].frequencies.size(), 1U);
  EXPECT_EQ(antennas[3].frequencies[0].number, 5);
}

TEST(SinexOffsets, RelativeOffsetsMakeARelativeProduct) {
  const SinexProduct product = file_of(block(
      "SATELLITE/PHASE_CENTER",
      " G01  1 1.5018  .3940  .0000 2 1.4018  .3940  .0001 igs14_%Y%m R E\n"));
  EXPECT_FALSE(product.offsets.absolute);
}

}  // namespace
}  // namespace stillpoint::products
