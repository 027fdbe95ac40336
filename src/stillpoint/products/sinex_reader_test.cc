#include "stillpoint/products/sinex_reader.h"

#include <gtest/gtest.h>

#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include "stillpoint/products/sinex_fields.h"
#include "stillpoint/products/sinex_test_support.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::products {
namespace {

// kind: published   source: IERS Bulletin C (GPST - UTC = 18 s in 2024, 13 s
// in 2005); 2024 and 2000 have a 29 February
// tolerance: none, whole seconds
TEST(SinexReader, InstantsAreReadAsUtc) {
  const std::pair<const char*, const char*> rows[] = {
      {"24:184:86382", "2024-07-03T00:00:00"},
      {"2024:184:86382", "2024-07-03T00:00:00"},
      {"24:060:00000", "2024-02-29T00:00:18"},
      {"23:060:00000", "2023-03-01T00:00:18"},
      {"05:001:00000", "2005-01-01T00:00:13"},
      {"24:366:86400", "2025-01-01T00:00:18"},
      {"50:001:00000", "2050-01-01T00:00:18"},
      {"00:060:43200", "2000-02-29T12:00:13"}};
  for (const auto& [printed, expected] : rows) {
    const auto instant = to_sinex_instant(printed);
    ASSERT_TRUE(instant && instant->time) << printed;
    EXPECT_EQ(format_gpst(*instant->time), expected) << printed;
  }
  // 1951, not 2051.
  EXPECT_LT(*to_sinex_instant("51:001:00000")->time, GnssTime());
  for (const char* const open : {"00:000:00000", "0000:000:00000"}) {
    const auto instant = to_sinex_instant(open);
    ASSERT_TRUE(instant) << open;
    EXPECT_FALSE(instant->time) << open;
  }
  for (const char* const wrong : {"24:000:00000",
                                  "23:366:00000",
                                  "24:367:00000",
                                  "24:184:86401",
                                  "24-184:86382",
                                  "24:184:8638",
                                  "2x:184:86382",
                                  "24:-01:00000",
                                  ""}) {
    EXPECT_FALSE(to_sinex_instant(wrong)) << wrong;
  }
}

TEST(SinexReader, FirstLineAndComments) {
  const SinexProduct product =
      file_of(block("FILE/REFERENCE", " DESCRIPTION   invented\n") +
              block("FILE/COMMENT", " frame: none\n  and more  \n"));
  EXPECT_EQ(product.source, "made.snx");
  EXPECT_EQ(product.version, 2.02);
  EXPECT_EQ(product.agency, "LHO");
  EXPECT_EQ(product.data_agency, "LHO");
  EXPECT_EQ(format_gpst(*product.created), "2024-07-07T02:47:53");
  EXPECT_EQ(format_gpst(*product.from), "2024-07-03T00:00:00");
  EXPECT_EQ(format_gpst(*product.until), "2024-07-04T00:00:00");
  EXPECT_EQ(product.reference,
            std::vector<std::string>{"DESCRIPTION   invented"});
  EXPECT_EQ(product.comments,
            (std::vector<std::string>{"frame: none", " and more"}));
}

const std::string kSites = block(
    "SITE/ID",
    " WTZR  A 14201M010 P Somewhere, NOWHERE      12 52 44.1  49  8 39.1   "
    "666.0\n"
    " SOUT  A           P                        301 51 36.5 -00 52 25.3    "
    "39.7\n"
    " VOID  A           P nowhere at all\n");

// kind: cross (sums of degrees, minutes and seconds by hand)
// tolerance: 1e-15 rad, the rounding of doubles
TEST(SinexReader, EquipmentOfSites) {
  const SinexProduct product = file_of(
      kSites +
      block("SITE/RECEIVER",
            " WTZR  A ---- P 21:138:45000 00:000:00000 SPDEMO RX1           "
            "18315 4.50/7.710\n") +
      block("SITE/ANTENNA",
            " WTZR  A    3 P 10:181:28800 12:001:00000 SPDEMO-A1       LEIT "
            "10020   90\n"
            " WTZR  A    3 P 2010:181:28800 2012:001:00000 SPDEMO-A1       "
            "LEIT ----- ----\n"));
  ASSERT_EQ(product.sites.size(), 3U);
  EXPECT_EQ(product.sites[0].domes, "14201M010");
  EXPECT_EQ(product.sites[0].description, "Somewhere, NOWHERE");
  constexpr double kDeg = 0.017453292519943295;
  const Geodetic& south = *product.sites[1].approximate;
  EXPECT_NEAR(south.lat_rad, -(52 / 60.0 + 25.3 / 3600) * kDeg, 1e-15);
  EXPECT_NEAR(south.lon_rad, (301 + 51 / 60.0 + 36.5 / 3600) * kDeg, 1e-15);
  EXPECT_EQ(south.height_m, 39.7);
  EXPECT_FALSE(product.sites[2].approximate);
  ASSERT_EQ(product.receivers.size(), 1U);
  const SiteReceiver& receiver = product.receivers[0];
  EXPECT_EQ(receiver.at.site, "WTZR");
  EXPECT_EQ(receiver.at.point, "A");
  EXPECT_EQ(receiver.at.solution, "----");
  EXPECT_EQ(receiver.type, "SPDEMO RX1");
  EXPECT_EQ(receiver.serial, "18315");
  EXPECT_EQ(receiver.firmware, "4.50/7.710");
  EXPECT_TRUE(receiver.at.from);
  EXPECT_FALSE(receiver.at.until);
  ASSERT_EQ(product.antennas.size(), 2U);
  EXPECT_EQ(product.antennas[0].type, "SPDEMO-A1       LEIT");
  EXPECT_EQ(product.antennas[0].serial, "10020");
  EXPECT_NEAR(*product.antennas[0].north_mark_rad, 90 * kDeg, 1e-15);
  // Years of four digits move the columns behind them.
  EXPECT_EQ(product.antennas[1].type, "SPDEMO-A1       LEIT");
  EXPECT_TRUE(product.antennas[1].serial.empty());
  EXPECT_FALSE(product.antennas[1].north_mark_rad);
  EXPECT_EQ(product.antennas[1].at, product.antennas[0].at);
}

// kind: cross (by hand: at the equator and longitude 90 degrees up is +Y, north
// +Z and east -X)
// tolerance: 1e-8 m, the direction of up from a coordinate of some digits
TEST(SinexReader, EccentricitiesInXyzAreTurnedIntoTheLocalFrame) {
  const SinexProduct product = file_of(
      block("SITE/ECCENTRICITY",
            " WTZR  A ---- P 95:040:00000 00:000:00000 UNE   0.0710   0.0020  "
            "-0.0030\n"
            " EQUA  A ---- P 95:040:00000 00:000:00000 XYZ   0.0030   0.1000  "
            " 0.0200\n"
            " VOID  A ---- P 95:040:00000 00:000:00000 XYZ   0.0030   0.1000  "
            " 0.0200\n") +
      block("SITE/ID",
            " EQUA  A           P                         90  0  0.0   0  0  "
            "0.0     0.0\n"));
  EXPECT_EQ(product.records_left_out, 1U);
  ASSERT_EQ(product.eccentricities.size(), 2U);
  const SiteEccentricity& plain = product.eccentricities[0];
  EXPECT_FALSE(plain.given_as_xyz);
  EXPECT_EQ(plain.up_m, 0.071);
  EXPECT_EQ(plain.north_m, 0.002);
  EXPECT_EQ(plain.east_m, -0.003);
  const SiteEccentricity& turned = product.eccentricities[1];
  EXPECT_TRUE(turned.given_as_xyz);
  EXPECT_NEAR(turned.up_m, 0.1, 1e-8);
  EXPECT_NEAR(turned.north_m, 0.02, 1e-8);
  EXPECT_NEAR(turned.east_m, -0.003, 1e-8);
}

const std::string kEstimate =
    "     1 STAX   WTZR  A    3 22:075:43200 m    2  4.07558026638938e+06 "
    "1.06648e-03\n"
    "     2 STAY   WTZR  A    3 22:075:43200 m    2 0.931854092336781E+06 "
    ".511154E-03\n"
    "     3 STAZ   WTZR  A    3 22:075:43200 m    2  4.80156830017473D+06\n"
    "     4 VELX   WTZR  A    3 22:075:43200 m/y  2 -1.57788000000000e-02 "
    "1.00000e-04\n"
    "     5 VELY   WTZR  A    3 22:075:43200 m/y  2  1.70000000000000e-02 "
    "1.00000e-04\n"
    "     6 VELZ   WTZR  A    3 22:075:43200 m/y  2  1.00000000000000e-02 "
    "1.00000e-04\n"
    "     7 STAX   WTZR  A    4 22:075:43200 m    2  4.00000000000000e+06 "
    "1.06648e-03\n"
    "     8 STAY   WTZR  A    4 22:075:43200 m    2 0.900000000000000E+06 "
    ".511154E-03\n"
    "     9 STAZ   WTZR  A    4 22:075:43200 m    2  4.80000000000000e+06 "
    "1.19051e-03\n"
    "    10 STAX   HALF  A    1 22:075:43200 m    2  4.07558026638938e+06 "
    "1.06648e-03\n"
    "    11 XPO    ----  - ---- 20:244:43200 mas  1  2.16338886240885e+05 "
    "2.68348e+01\n";

// kind: cross (0.0157788 m in 365.25 days of 86400 s are 5e-10 m/s)
// tolerance: 1e-24 m/s, the rounding of doubles
TEST(SinexReader, CoordinatesAndVelocities) {
  const SinexProduct product = file_of(
      block("SOLUTION/EPOCHS",
            " WTZR  A    3 P 22:074:86382 22:076:00000 22:075:43190\n"
            " WTZR  A    4 P 22:076:00000 22:080:00000 22:078:43190\n") +
      block("SOLUTION/ESTIMATE", kEstimate));
  EXPECT_EQ(product.records_left_out, 1U);
  ASSERT_EQ(product.coordinates.size(), 2U);
  const SiteCoordinate& row = product.coordinates[0];
  EXPECT_EQ(row.at.solution, "3");
  EXPECT_EQ(format_gpst(*row.at.from), "2022-03-16T00:00:00");
  EXPECT_EQ(format_gpst(row.epoch), "2022-03-16T12:00:18");
  EXPECT_EQ(row.position_m.x_m, 4075580.26638938);
  EXPECT_EQ(row.position_m.y_m, 931854.092336781);
  EXPECT_EQ(row.position_m.z_m, 4801568.30017473);
  EXPECT_EQ(row.sigma_m.y_m, 0.511154e-3);
  EXPECT_EQ(row.sigma_m.z_m, 0);
  ASSERT_TRUE(row.velocity_mps);
  EXPECT_NEAR(row.velocity_mps->x_m, -5e-10, 1e-24);
  EXPECT_FALSE(product.coordinates[1].velocity_mps);
  const GnssTime later = row.epoch + Duration{3 * 86'400.0};
  EXPECT_EQ(product.coordinate("WTZR", row.epoch), &product.coordinates[0]);
  EXPECT_EQ(product.coordinate("WTZR", later), &product.coordinates[1]);
  EXPECT_EQ(product.coordinate("HALF", later), nullptr);
  const auto offsets_only = read_made(
      kFirst + block("SOLUTION/ESTIMATE", kEstimate) + kEnd, {.sites = false});
  ASSERT_TRUE(offsets_only);
  EXPECT_TRUE(offsets_only->coordinates.empty());
}

TEST(SinexReader, OtherBlocksAreSteppedOver) {
  const SinexProduct product = file_of(
      "+SOLUTION/MATRIX_ESTIMATE L COVA\n"
      "     1     1  1.0e-06 nan junk\n"
      "\n"
      "-SOLUTION/MATRIX_ESTIMATE\n" +
      block("SOLUTION/APRIORI", kEstimate));
  EXPECT_TRUE(product.coordinates.empty());
}

struct Refusal {
  const char* what;
  std::string text;
  ErrorCode code;
  const char* where;
};

TEST(SinexReader, RefusalsNameTheLine) {
  const std::string estimate = block("SOLUTION/ESTIMATE", kEstimate);
  const auto replaced = [&](const char* old, const char* now) {
    std::string text = kFirst + estimate + kEnd;
    text.replace(text.find(old), std::string(old).size(), now);
    return text;
  };
  const Refusal rows[] = {
      {"empty", "", ErrorCode::kTruncated, "made.snx:0"},
      {"other", "%=BIA 1.00\n", ErrorCode::kBadHeader, "made.snx:1"},
      {"span", "%=SNX 2.02 LHO\n", ErrorCode::kBadHeader, "made.snx:1"},
      {"version",
       "%=SNX 3.00" + kFirst.substr(10),
       ErrorCode::kUnsupported,
       "made.snx:1"},
      {"no end", kFirst + estimate, ErrorCode::kTruncated, "made.snx:15"},
      {"open", kFirst + "+X\n" + kEnd, ErrorCode::kBadFormat, "made.snx:3"},
      {"in", kFirst + "+X\n+Y\n", ErrorCode::kBadFormat, "made.snx:3"},
      {"out", kFirst + "-X\n", ErrorCode::kBadFormat, "made.snx:2"},
      {"text", kFirst + " X\n", ErrorCode::kBadFormat, "made.snx:2"},
      {"after", kFirst + kEnd + "X\n", ErrorCode::kBadFormat, "made.snx:3"},
      {"value",
       replaced(" 4.07558026638938e+06", " 4.07558026638938x+06"),
       ErrorCode::kBadFormat,
       "made.snx:4"},
      {"sense",
       replaced(" 4.07558026638938e+06", " 4.07558026638938e+16"),
       ErrorCode::kBadFormat,
       "made.snx:4"},
      {"unit", replaced("m/y", "m/d"), ErrorCode::kBadFormat, "made.snx:7"},
      {"twice", replaced("STAY", "STAX"), ErrorCode::kBadFormat, "made.snx:5"},
      {"date", replaced("22:075", "22:375"), ErrorCode::kBadFormat, "made.snx"},
      {"offset",
       kFirst +
           block("SATELLITE/PHASE_CENTER", " G01  1 1.5018  .x940  .0000\n"),
       ErrorCode::kBadFormat,
       "made.snx:4"},
      {"part",
       kFirst +
           block("SATELLITE/PHASE_CENTER", " G01  1 1.5018         .0000\n"),
       ErrorCode::kBadFormat,
       "made.snx:4"},
      {"frequency",
       kFirst +
           block("SATELLITE/PHASE_CENTER", " G01  0 1.5018  .3940  .0000\n"),
       ErrorCode::kBadFormat,
       "made.snx:4"}};
  for (const Refusal& row : rows) {
    const auto product = read_made(row.text);
    ASSERT_FALSE(product) << row.what;
    EXPECT_EQ(product.error().code, row.code) << row.what;
    EXPECT_TRUE(product.error().where.starts_with(row.where))
        << row.what << ": " << product.error().text();
  }
}

TEST(SinexReader, LimitsHold) {
  // One SVN under many numbers, and in many models: their product counts.
  std::string names, models;
  for (int i = 0; i < 400; ++i) {
    names += " G063 01 2011-036A P 24:184:86382 24:185:86382 BLOCK IIF\n";
    std::string model = std::to_string(1000 + i);
    models += " G063 1 1.1111 0.2222 0.3333                         ";
    models += model;
    models += "\n";
  }
  const auto product =
      read_made(kFirst + block("SATELLITE/ID", names) +
                block("SATELLITE/PHASE_CENTER", models) + kEnd);
  ASSERT_FALSE(product);
  EXPECT_EQ(product.error().code, ErrorCode::kTooLarge);
  std::string comments;
  for (int i = 0; i < 100; ++i) {
    comments += " ";
    comments.append(60'000, 'x');
    comments += "\n";
  }
  const auto long_text =
      read_made(kFirst + block("FILE/COMMENT", comments) + kEnd);
  ASSERT_FALSE(long_text);
  EXPECT_EQ(long_text.error().code, ErrorCode::kTooLarge);
}

}  // namespace
}  // namespace stillpoint::products
