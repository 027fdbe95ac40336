#include <gtest/gtest.h>

#include <string>

#include "stillpoint/products/bias_reader.h"
#include "stillpoint/products/bias_writer.h"
#include "stillpoint/products/product_test_support.h"

namespace stillpoint::products {
namespace {

Result<BiasProduct> read(const std::string& text) {
  return read_biases(memory_stream(text, "made.bia"));
}

std::string write(const BiasProduct& product) {
  TextSink sink;
  const auto written = write_biases(product, sink);
  EXPECT_TRUE(written) << written.error().text();
  return sink.text;
}

const std::string kFirst =
    "%=BIA 1.00 LHO 2024:331:18180 LHO 2024:328:00000 2024:328:86400 A "
    "00000005\n";
const std::string kEnd = "-BIAS/SOLUTION\n%=ENDBIA\n";

std::string described(const std::string& scale) {
  return kFirst +
         "* a comment\n"
         "+BIAS/DESCRIPTION\n"
         " PARAMETER_SPACING                              86400\n"
         " TIME_SYSTEM                             " +
         scale +
         "  \n"
         " SATELLITE_CLOCK_REFERENCE_OBSERVABLES   G  C1W  C2W\n"
         "-BIAS/DESCRIPTION\n"
         "+FILE/REFERENCE\n"
         " INPUT              invented\n"
         "-FILE/REFERENCE\n"
         "+BIAS/SOLUTION\n";
}

const std::string kRows =
    " OSB  G061 G02           C1C       2024:328:00000 2024:328:86400 ns   "
    "-.102490686675392E+02 .149400E+00\n"
    " OSB  G069 G03           L5Q       2024:328:00000 2024:328:00900 ns   "
    "0.751709764384389E+00 .709828E-02 0.221219707935415E-04 .000000E+00\n"
    " DSB  G069 G03           C1C  C1W  2024:328:00000 0000:000:00000 ns   "
    "               0.7490\n"
    " OSB       E   LHOL00XXX C1C       0000:000:00000 2024:328:86400 ns  "
    "               -1.5000      0.1000\n"
    " ISB       E   LHOL      C1C  C1W  2024:328:00000 2024:328:86400 cyc "
    "                2.2500\n";

TEST(BiasFiles, RowsOfEveryKindAreRead) {
  const auto product = read(described("G") + kRows + kEnd);
  ASSERT_TRUE(product) << product.error().text();
  EXPECT_EQ(product->agency, "LHO");
  EXPECT_EQ(product->data_agency, "LHO");
  EXPECT_TRUE(product->absolute);
  EXPECT_EQ(product->declared_rows, 5U);
  EXPECT_EQ(format_gpst(*product->created), "2024-11-26T05:03:00");
  EXPECT_EQ(format_gpst(*product->until), "2024-11-24T00:00:00");
  EXPECT_EQ(product->text_of("PARAMETER_SPACING"), "86400");
  EXPECT_EQ(product->clock_reference(System::kGps),
            (std::vector<std::string>{"C1W", "C2W"}));
  EXPECT_EQ(product->blocks,
            (std::vector<TextBlock>{
                {"FILE/REFERENCE", {" INPUT              invented"}}}));
  ASSERT_EQ(product->rows.size(), 5U);
  const BiasRow& code = product->rows[0];
  EXPECT_EQ(code.svn, "G061");
  EXPECT_EQ(code.satellite->text(), "G02");
  EXPECT_EQ(code.first, "C1C");
  EXPECT_EQ(code.value, -10.2490686675392);
  EXPECT_EQ(code.sigma, 0.1494);
  EXPECT_FALSE(code.slope);
  EXPECT_EQ(format_gpst(*code.until), "2024-11-24T00:00:00");
  EXPECT_EQ(product->rows[1].slope, (BiasSlope{0.221219707935415e-4, 0.0}));
  const BiasRow& difference = product->rows[2];
  EXPECT_EQ(difference.kind, BiasKind::kDifference);
  EXPECT_EQ(difference.second, "C1W");
  EXPECT_FALSE(difference.until);
  EXPECT_FALSE(difference.sigma);
  const BiasRow& station = product->rows[3];
  EXPECT_EQ(station.station, "LHOL00XXX");
  EXPECT_EQ(station.system, System::kGalileo);
  EXPECT_FALSE(station.satellite || station.from);
  EXPECT_EQ(station.value, -1.5);
  EXPECT_EQ(product->rows[4].kind, BiasKind::kIntersystem);
  EXPECT_EQ(product->rows[4].unit, BiasUnit::kCycles);
}

// kind: published   source: shared checks section 9 (BDT = GPST - 14 s), IERS
// Bulletin C (GPST - UTC = 18 s in 2024)
// tolerance: none, whole seconds
TEST(BiasFiles, InstantsOfEverySystemComeOutAsGpst) {
  const std::pair<const char*, double> rows[] = {
      {"G", 0}, {"E", 0}, {"C", 14}, {"UTC", 18}, {"R", 18}, {"TAI", -19}};
  for (const auto& [scale, later_s] : rows) {
    const auto product = read(described(scale) + kEnd);
    ASSERT_TRUE(product) << scale;
    EXPECT_EQ((*product->from - GnssTime::from_gps_week(2341, 518'400)).s,
              later_s)
        << scale;
    const std::string text = write(*product);
    EXPECT_NE(text.find("2024:328:00000 2024:329:00000"), std::string::npos)
        << text;
  }
}

TEST(BiasFiles, WhatIsWrittenIsReadBackAndWrittenAlike) {
  for (const char* scale : {"G", "C", "UTC"}) {
    std::string whole = described(scale);
    whole.append(kRows).append(kEnd);
    const auto first = read(whole);
    ASSERT_TRUE(first) << first.error().text();
    const std::string text = write(*first);
    const auto again = read(text);
    ASSERT_TRUE(again) << again.error().text() << "\n" << text;
    EXPECT_EQ(again->rows, first->rows);
    EXPECT_EQ(again->description, first->description);
    EXPECT_EQ(again->blocks, first->blocks);
    EXPECT_EQ(again->scale, first->scale);
    EXPECT_EQ(again->created, first->created);
    EXPECT_EQ(write(*again), text);
  }
}

TEST(BiasFiles, WhatCannotBeWrittenIsRefused) {
  auto product = read(described("G") + kRows + kEnd);
  ASSERT_TRUE(product);
  TextSink sink;
  product->rows[0].svn = "G0610";
  EXPECT_EQ(write_biases(*product, sink).error().code, ErrorCode::kOutOfRange);
  product->rows[0].svn = "G061";
  product->blocks[0].lines[0] = "-FILE/REFERENCE";
  EXPECT_EQ(write_biases(*product, sink).error().code, ErrorCode::kOutOfRange);
}

TEST(BiasFiles, DamagedRowsAreNamedByTheirLine) {
  const std::string good = kRows.substr(0, kRows.find('\n') + 1);
  const auto replaced = [&](const std::string& what, const std::string& by) {
    std::string row = good;
    row.replace(row.find(what), what.size(), by);
    return row;
  };
  const std::pair<std::string, ErrorCode> damages[] = {
      {replaced(" OSB", " OSX"), ErrorCode::kBadFormat},
      {replaced("G02", "XYZ"), ErrorCode::kBadFormat},
      {replaced("G061 G02", "        "), ErrorCode::kBadFormat},
      {replaced("C1C", "   "), ErrorCode::kBadFormat},
      {replaced("C1C       ", "C1C  C1W  "), ErrorCode::kBadFormat},
      {replaced("2024:328:00000", "2024:367:00000"), ErrorCode::kBadFormat},
      {replaced("2024:328:00000", "2024:328:86401"), ErrorCode::kBadFormat},
      {replaced("2024:328:00000", "2024:329:86400"), ErrorCode::kBadFormat},
      {replaced("ns ", "km "), ErrorCode::kUnsupported},
      {replaced("392E+02", "392X+02"), ErrorCode::kBadFormat},
      {replaced(".149400", ".14x400"), ErrorCode::kBadFormat}};
  for (const auto& [row, code] : damages) {
    std::string whole = described("G");
    whole.append(good).append(row).append(kEnd);
    const auto product = read(whole);
    ASSERT_FALSE(product) << row;
    EXPECT_EQ(product.error().code, code) << row;
    EXPECT_EQ(product.error().where, "made.bia:13") << row;
  }
}

TEST(BiasFiles, EveryCutIsTold) {
  const std::string whole = described("G") + kRows + kEnd;
  for (std::size_t size = 80; size + 1 < whole.size(); size += 7) {
    const auto product = read(whole.substr(0, size));
    ASSERT_FALSE(product) << size;
    // A line cut in its middle may say something else first.
    EXPECT_TRUE(product.error().code == ErrorCode::kTruncated ||
                product.error().code == ErrorCode::kBadFormat ||
                product.error().code == ErrorCode::kUnsupported ||
                product.error().code == ErrorCode::kBadHeader)
        << product.error().text();
  }
  EXPECT_EQ(read(described("G") + kRows).error().code, ErrorCode::kTruncated);
}

TEST(BiasFiles, BlocksAndHeadsThatContradictThemselvesAreRefused) {
  const std::pair<std::string, ErrorCode> damages[] = {
      {"", ErrorCode::kTruncated},
      {"text\n", ErrorCode::kBadHeader},
      {"%=BIA 2.00 LHO\n", ErrorCode::kUnsupported},
      {"%=BIA 1.00 LHO\n", ErrorCode::kBadHeader},
      {kFirst + "+A\n+B\n", ErrorCode::kBadFormat},
      {kFirst + "+A\n-B\n", ErrorCode::kBadFormat},
      {kFirst + "+A\n%=ENDBIA\n", ErrorCode::kBadFormat},
      {kFirst + " text\n%=ENDBIA\n", ErrorCode::kBadFormat},
      {kFirst + "%=ENDBIA\nmore\n", ErrorCode::kBadFormat},
      {described("X") + kEnd, ErrorCode::kBadHeader},
      {"%=BIA 1.00 LHO 2024:331:18180 LHO 2024:328:00000 2024:400:86400 A "
       "00000005\n%=ENDBIA\n",
       ErrorCode::kBadHeader}};
  for (const auto& [text, code] : damages) {
    const auto product = read(text);
    ASSERT_FALSE(product) << text;
    EXPECT_EQ(product.error().code, code) << text;
    EXPECT_TRUE(product.error().where.starts_with("made.bia:")) << text;
  }
}

}  // namespace
}  // namespace stillpoint::products
