#include "stillpoint/products/earth_orientation_reader.h"

#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "stillpoint/time/scales.h"

namespace stillpoint::products {
namespace {

constexpr double kArcsec = 3.14159265358979323846 / 648'000;

Result<EarthOrientationProduct> read(const std::string& text) {
  return read_earth_orientation(memory_stream(text, "made.eop"));
}

Error refused(const std::string& text) {
  auto product = read(text);
  EXPECT_FALSE(product) << text;
  return product ? Error{} : product.error();
}

const std::string kRow14 =
    "2020   1   1  58849   0.076609   0.282358  -0.1771222   0.0004455"
    "   0.000348   0.000003   0.000057   0.000039  0.0000123  0.0000126"
    "    0.000044    0.000057\n";
const std::string kRow20 =
    "2023   6   1   6  60096.25    0.080549    0.463128  -0.0412870"
    "    0.000120   -0.000168    0.001500   -0.000500   0.0009962"
    "    0.000031    0.000032   0.0000101\n";
const std::string kTableHead =
    "MJD;Year;Month;Day;Type;x_pole;sigma_x_pole;y_pole;sigma_y_pole;x_rate;"
    "y_rate;Type;UT1-UTC;sigma_UT1-UTC;LOD\n";
const std::string kErpHead =
    "Version 2\n\nmade\n"
    "  MJD      X-P   Y-P  UT1-UTC    LOD  S-X  S-Y  S-UT  Xrt  Yrt\n"
    "           E-6\"  E-6\"   E-7s\n";

// kind: cross (the printed digits)
// tolerance: one rounding
TEST(EarthOrientationReader, TextRowsOfSeries20HaveHourRatesAndErrors) {
  const auto product = read("# a comment\n" + kRow20 + "\n# the end\n");
  ASSERT_TRUE(product) << product.error().text();
  EXPECT_EQ(product->source, "made.eop");
  EXPECT_EQ(product->series, "C04 20");
  ASSERT_EQ(product->rows.size(), 1U);
  const EarthOrientationRow& row = product->rows[0];
  EXPECT_EQ(format_utc(row.time), "2023-06-01T06:00:00Z");
  EXPECT_EQ(row.value.ut1_minus_utc_s, -0.0412870);
  EXPECT_EQ(row.lod_s, 0.0009962);
  EXPECT_NEAR(row.x_rate_rad_per_s, 0.0015 * kArcsec / 86'400, 1e-27);
  EXPECT_NEAR(row.y_rate_rad_per_s, -0.0005 * kArcsec / 86'400, 1e-27);
  EXPECT_NEAR(row.x_sigma_rad, 0.000031 * kArcsec, 1e-24);
  EXPECT_EQ(row.ut1_sigma_s, 0.0000101);
}

TEST(EarthOrientationReader, RowsBefore1980AreLeftOut) {
  const auto product = read(
      "1979  12  31  44238   0.138000   0.350000  -0.3500000   0.0026000"
      "   0.000000   0.000000   0.000057   0.000039  0.0000123  0.0000126"
      "    0.000044    0.000057\n" +
      kRow14);
  ASSERT_TRUE(product) << product.error().text();
  EXPECT_EQ(product->rows.size(), 1U);
  EXPECT_EQ(product->rows_left_out, 1U);
}

TEST(EarthOrientationReader, TablesSayByTheirRowsWhatTheyAre) {
  const auto series = [](const std::string& rows) {
    const auto product = read(kTableHead + rows);
    EXPECT_TRUE(product) << product.error().text();
    return product ? product->series : "";
  };
  EXPECT_EQ(series("60310;2024;01;01;;0.1;0.1;0.2;0.1;;;;0.0087;0.1;0.0002\n"),
            "C04 14");
  EXPECT_EQ(
      series("60310;2024;01;01;;0.1;0.1;0.2;0.1;0.1;0.2;;0.0087;0.1;0.0002\n"),
      "C04 20");
  const auto typed = read(
      kTableHead +
      "60310;2024;01;01;final;0.1;0.1;0.2;0.1;;;final;0.0087;0.1;0.0002\n"
      "60311;2024;01;02;final;0.1;0.1;0.2;0.1;;;final;;;\n"
      "60312;2024;01;03;prediction;0.1;0.1;0.2;0.1;;;;0.0087;0.1;0.0002\n");
  ASSERT_TRUE(typed);
  EXPECT_EQ(typed->series, "IERS table");
  EXPECT_EQ(typed->rows.size(), 1U);
  EXPECT_EQ(typed->rows_left_out, 2U);
  EXPECT_TRUE(std::isnan(typed->rows[0].x_rate_rad_per_s));
}

// kind: cross (the printed digits)
// tolerance: one rounding
TEST(EarthOrientationReader, RotationFilesNameTheirColumns) {
  const auto product = read(
      kErpHead + "60637.50  202032  337585   519414   4081 7 9 7 -1122 -562\n");
  ASSERT_TRUE(product) << product.error().text();
  EXPECT_EQ(product->series, "IGS ERP 2");
  const EarthOrientationRow& row = product->rows.at(0);
  EXPECT_EQ(format_utc(row.time), "2024-11-23T12:00:00Z");
  EXPECT_NEAR(row.value.x_pole_rad, 0.202032 * kArcsec, 1e-21);
  EXPECT_NEAR(row.value.ut1_minus_utc_s, 0.0519414, 1e-16);
  EXPECT_NEAR(row.lod_s, 4.081e-4, 1e-18);
  EXPECT_NEAR(row.y_rate_rad_per_s, -0.000562 * kArcsec / 86'400, 1e-27);
  EXPECT_NEAR(row.ut1_sigma_s, 7e-7, 1e-20);
}

// kind: published; source: TAI-UTC is 37 s since 2017 (IERS Bulletin C, shared
// checks section 9)
// tolerance: rounding at 37 s
TEST(EarthOrientationReader, RotationFilesMayCountUt1FromTai) {
  const auto product = read(
      "version 2\nMJD Xpole Ypole UT1-TAI LOD\n"
      "60637.50 202032 337585 -369480586 4081\n");
  ASSERT_TRUE(product) << product.error().text();
  EXPECT_NEAR(product->rows.at(0).value.ut1_minus_utc_s, 0.0519414, 1e-14);
}

TEST(EarthOrientationReader, OtherFilesAndCutOnesAreRefused) {
  EXPECT_EQ(refused("").code, ErrorCode::kTruncated);
  EXPECT_EQ(refused("\n \n").code, ErrorCode::kTruncated);
  EXPECT_EQ(refused("some text\nof no kind\n").code, ErrorCode::kBadHeader);
  EXPECT_EQ(refused("version 1\n").code, ErrorCode::kUnsupported);
  EXPECT_EQ(refused("version 2\nmade\n").code, ErrorCode::kTruncated);
  EXPECT_EQ(refused(kErpHead).code, ErrorCode::kTruncated);
  EXPECT_EQ(refused("version 2\nMJD Xpole Ypole UT1R-UTC LOD\n").code,
            ErrorCode::kUnsupported);
  EXPECT_EQ(refused("version 2\nMJD Xpole Ypole LOD\n").code,
            ErrorCode::kBadHeader);
  EXPECT_EQ(refused("MJD;x_pole;y_pole\n").code, ErrorCode::kBadHeader);
  EXPECT_EQ(refused(kTableHead).code, ErrorCode::kTruncated);

  const std::string erp_row = "60637.50 202032 337585 519414 4081 7 9 7 1 2\n";
  for (const std::size_t kept : {40U, 30U, 20U, 10U}) {
    EXPECT_EQ(refused(kErpHead + erp_row.substr(0, kept)).code,
              ErrorCode::kTruncated)
        << kept;
  }
  for (std::size_t kept = 1; kept + 1 < kRow14.size(); kept += 7) {
    const Error error = refused(kRow14 + kRow14.substr(0, kept));
    EXPECT_EQ(error.code, ErrorCode::kTruncated) << kept;
    EXPECT_EQ(error.where, "made.eop:2");
  }
  EXPECT_EQ(refused(kTableHead + "60310;2024;01;01;;0.1;0.1;0.2").code,
            ErrorCode::kTruncated);
}

std::string changed(std::string text, std::size_t at, std::string_view to) {
  return text.replace(at, to.size(), to);
}

TEST(EarthOrientationReader, WrongRowsAreRefusedWithTheirLine) {
  const std::string all[] = {
      kRow14,                         // a day twice
      changed(kRow14, 7, "2"),        // date and MJD disagree
      changed(kRow14, 22, "x"),       // no number
      changed(kRow14, 19, "  61.0"),  // no pole of this Earth
      changed(kRow14, 41, "   -7.2"),
      kRow20};
  for (const std::string& row : all) {
    std::string text = kRow14;
    text += row;
    text += kRow14;
    const Error error = refused(text);
    EXPECT_EQ(error.code, ErrorCode::kBadFormat) << row;
    EXPECT_EQ(error.where, "made.eop:2");
  }
  EXPECT_EQ(refused(kTableHead + "60310;2024;01;01;;a;b;c;d;;;;0.0;0.1;0.2\n" +
                    "60311;\n")
                .code,
            ErrorCode::kBadFormat);
  EXPECT_EQ(
      refused(kErpHead + "60637.5 1 1 1 1 7 9 7 1 2\nMJD\n" + kErpHead).code,
      ErrorCode::kBadFormat);
}

}  // namespace
}  // namespace stillpoint::products
