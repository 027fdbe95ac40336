#include "stillpoint/products/sp3_writer.h"

#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "stillpoint/gnss/epoch.h"
#include "stillpoint/products/sp3.h"
#include "tests/support/test_data.h"

namespace stillpoint::products {
namespace {

const GnssTime kStart = GnssTime::from_gps_week(2341, 518'400);

// From the numbers of a file, in the reader's own arithmetic.
PreciseSample sample(const char* sat, double x_km, double clock_us) {
  PreciseSample s;
  s.sat = *parse_satellite(sat);
  s.position_m = 1e3 * Ecef{x_km, -20'000.000002, 3000.000003};
  s.clock_s = clock_us * 1e-6;
  return s;
}

// Invented; two epochs, with everything that a record can say.
PreciseProduct product() {
  PreciseProduct p;
  p.source = "made.sp3";
  p.frame_label = "IGS20";
  p.agency = "LHO";
  p.interval_s = 900;
  p.epochs.push_back({kStart,
                      {sample("R02", 10'000.000001, 123.456789),
                       sample("G01", -10'000, -50)}});
  p.epochs.push_back({kStart + Duration{900},
                      {sample("G01", 10'000, kMissing),
                       sample("J03", kMissing, 1),
                       sample("R02", 10'000, 2)}});
  p.epochs[1].samples[0].predicted = true;
  p.epochs[1].samples[1].clock_event = true;
  p.epochs[1].samples[2].manoeuvre = p.epochs[1].samples[2].predicted = true;
  return p;
}

std::string written(const PreciseProduct& p,
                    const Sp3WriterOptions& options = {}) {
  std::string text;
  const auto sink = memory_sink(text);
  const Status status = write_sp3(p, options, *sink);
  EXPECT_TRUE(status) << status.error().text();
  return text;
}

Error error_of(const PreciseProduct& p, const Sp3WriterOptions& options = {}) {
  std::string text;
  const Status status = write_sp3(p, options, *memory_sink(text));
  EXPECT_FALSE(status);
  return status ? Error{} : status.error();
}

PreciseProduct read_back(const std::string& text) {
  auto p = read_sp3(memory_stream(text, "made.sp3"));
  EXPECT_TRUE(p) << p.error().text();
  return p ? std::move(*p) : PreciseProduct{};
}

bool same(double a, double b) {
  return a == b || (std::isnan(a) && std::isnan(b));
}

bool same(const PreciseSample& a, const PreciseSample& b) {
  return a.sat == b.sat && same(a.position_m.x_m, b.position_m.x_m) &&
         same(a.position_m.y_m, b.position_m.y_m) &&
         same(a.position_m.z_m, b.position_m.z_m) &&
         same(a.clock_s, b.clock_s) && a.clock_event == b.clock_event &&
         a.predicted == b.predicted && a.manoeuvre == b.manoeuvre;
}

void expect_same(const PreciseProduct& a, const PreciseProduct& b) {
  EXPECT_EQ(a.frame_label, b.frame_label);
  EXPECT_EQ(a.agency, b.agency);
  EXPECT_EQ(a.interval_s, b.interval_s);
  ASSERT_EQ(a.epochs.size(), b.epochs.size());
  for (std::size_t i = 0; i < a.epochs.size(); ++i) {
    EXPECT_EQ(a.epochs[i].time, b.epochs[i].time);
    ASSERT_EQ(a.epochs[i].samples.size(), b.epochs[i].samples.size());
    for (std::size_t k = 0; k < a.epochs[i].samples.size(); ++k) {
      const PreciseSample& s = a.epochs[i].samples[k];
      EXPECT_TRUE(same(s, b.epochs[i].samples[k])) << i << " " << s.sat.text();
    }
  }
}

// kind: published
// source: Hilla, "The Extended Standard Product 3 Orbit Format (SP3-d)", 2016:
// columns of every line; 2024-11-23 is day 6 of GPS week 2341 and MJD 60637
// tolerance: exact, text
TEST(Sp3Writer, EveryLineStandsInItsColumns) {
  Sp3WriterOptions options;
  options.comments = {"invented", ""};
  options.accuracy_exponents = {{*parse_satellite("G01"), 5}};
  EXPECT_EQ(written(product(), options),
            "#dP2024 11 23  0  0  0.00000000       2 ORBIT IGS20 FIT  LHO\n"
            "## 2341 518400.00000000   900.00000000 60637 0.0000000000000\n"
            "+    3   R02G01J03  0  0  0  0  0  0  0  0  0  0  0  0  0  0\n"
            "+          0  0  0  0  0  0  0  0  0  0  0  0  0  0  0  0  0\n"
            "+          0  0  0  0  0  0  0  0  0  0  0  0  0  0  0  0  0\n"
            "+          0  0  0  0  0  0  0  0  0  0  0  0  0  0  0  0  0\n"
            "+          0  0  0  0  0  0  0  0  0  0  0  0  0  0  0  0  0\n"
            "++         0  5  0  0  0  0  0  0  0  0  0  0  0  0  0  0  0\n"
            "++         0  0  0  0  0  0  0  0  0  0  0  0  0  0  0  0  0\n"
            "++         0  0  0  0  0  0  0  0  0  0  0  0  0  0  0  0  0\n"
            "++         0  0  0  0  0  0  0  0  0  0  0  0  0  0  0  0  0\n"
            "++         0  0  0  0  0  0  0  0  0  0  0  0  0  0  0  0  0\n"
            "%c M  cc GPS ccc cccc cccc cccc cccc ccccc ccccc ccccc ccccc\n"
            "%c cc cc ccc ccc cccc cccc cccc cccc ccccc ccccc ccccc ccccc\n"
            "%f  1.2500000  1.025000000  0.00000000000  0.000000000000000\n"
            "%f  0.0000000  0.000000000  0.00000000000  0.000000000000000\n"
            "%i    0    0    0    0      0      0      0      0         0\n"
            "%i    0    0    0    0      0      0      0      0         0\n"
            "/* invented\n"
            "/*\n"
            "/*\n"
            "/*\n"
            "*  2024 11 23  0  0  0.00000000\n"
            "PR02  10000.000001 -20000.000002   3000.000003    123.456789\n"
            "PG01 -10000.000000 -20000.000002   3000.000003    -50.000000\n"
            "PJ03      0.000000      0.000000      0.000000 999999.999999\n"
            "*  2024 11 23  0 15  0.00000000\n"
            "PR02  10000.000000 -20000.000002   3000.000003      2.000000"
            "               P  MP\n"
            "PG01  10000.000000 -20000.000002   3000.000003 999999.999999"
            "                   P\n"
            "PJ03      0.000000      0.000000      0.000000      1.000000"
            "              E\n"
            "EOF\n");
}

// kind: cross
// source: the product, there and back; the reader has tests of its own
// tolerance: none
TEST(Sp3Writer, AProductComesBack) {
  const std::string text = written(product());
  const PreciseProduct back = read_back(text);
  PreciseProduct full = product();
  // Every epoch names every satellite, in one order.
  auto& first = full.epochs[0].samples;
  first.push_back(sample("J03", kMissing, kMissing));
  auto& second = full.epochs[1].samples;
  second = {second[2], second[0], second[1]};
  for (PreciseSample* s : {&first[2], &second[2]}) {
    s->position_m = {kMissing, kMissing, kMissing};
  }
  expect_same(back, full);
  EXPECT_EQ(written(back), text);
}

TEST(Sp3Writer, OptionsTakeTheProductsPlace) {
  PreciseProduct p = product();
  p.epochs[0].samples.erase(p.epochs[0].samples.begin());
  p.epochs.resize(1);
  Sp3WriterOptions options;
  options.coordinate_system = "ITRF";
  options.agency = "ABCD";
  options.data_used = "d";
  options.orbit_type = "EXT";
  options.start = kStart + Duration{43'200.5};
  options.position_base = 0;
  options.clock_base = 2;
  const std::string text = written(p, options);
  EXPECT_EQ(text.substr(0, 122),
            "#dP2024 11 23 12  0  0.50000000       1     d ITRF  EXT ABCD\n"
            "## 2341 561600.50000000   900.00000000 60637 0.5000057870370\n");
  EXPECT_NE(text.find("\n%c G  cc GPS"), text.npos);
  EXPECT_NE(text.find("\n%f  0.0000000  2.000000000  0.0"), text.npos);
}

TEST(Sp3Writer, ManySatellitesTakeMoreLines) {
  PreciseProduct p = product();
  p.epochs.resize(1);
  p.epochs[0].samples.clear();
  for (const char letter : {'G', 'E', 'C'}) {
    for (std::uint8_t n = 1; n <= 32; ++n) {
      p.epochs[0].samples.push_back(sample("G01", 10'000, 0));
      p.epochs[0].samples.back().sat = {*system_from_letter(letter), n};
    }
  }
  const std::string text = written(p);
  EXPECT_NE(text.find("\n+   96   G01G02"), text.npos);
  EXPECT_NE(text.find("\n+        C22C23C24C25C26C27C28C29C30C31C32  0  0"),
            text.npos);
  expect_same(read_back(text), p);
}

TEST(Sp3Writer, WhatDoesNotFitIsAnErrorWithItsPlace) {
  PreciseProduct p = product();
  p.epochs.clear();
  EXPECT_EQ(error_of(p).code, ErrorCode::kNoData);
  const auto damaged = [](auto change) {
    PreciseProduct q = product();
    change(q);
    const Error e = error_of(q);
    EXPECT_EQ(e.code, ErrorCode::kOutOfRange) << e.text();
    return e.text();
  };
  EXPECT_EQ(damaged([](auto& q) { q.epochs[1].time = kStart; }),
            "2024-11-23T00:00:00: the epoch is not later than the one before");
  EXPECT_EQ(damaged([](auto& q) {
              q.epochs[0].samples[1].sat = q.epochs[0].samples[0].sat;
            }),
            "2024-11-23T00:00:00: satellite R02 twice in one epoch");
  EXPECT_EQ(damaged([](auto& q) { q.epochs[0].samples[0].clock_s = 1; }),
            "2024-11-23T00:00:00: position or clock of R02 is too large for "
            "its column");
  EXPECT_EQ(
      damaged([](auto& q) { q.epochs[0].samples[0].position_m.y_m = -1e9; }),
      "2024-11-23T00:00:00: position or clock of R02 is too large for "
      "its column");
  EXPECT_EQ(damaged([](auto& q) {
              q.epochs[1].time = GnssTime::from_ns(kStart.ns() + 1);
            }),
            "2024-11-23T00:00:00.000000001: the epoch has more than eight "
            "decimals of a second");
  damaged([](auto& q) { q.interval_s = 0; });
  damaged([](auto& q) { q.interval_s = 1e5; });
  damaged([](auto& q) { q.frame_label = "IGS20x"; });
  damaged([](auto& q) { q.agency = "LHOLL"; });
  const auto refused = [](const Sp3WriterOptions& o) {
    EXPECT_EQ(error_of(product(), o).code, ErrorCode::kOutOfRange);
  };
  Sp3WriterOptions o;
  o.comments = {std::string(78, 'x')};
  refused(o);
  o = {};
  o.orbit_type = "FITX";
  refused(o);
  o = {};
  o.data_used = "a\nb";
  refused(o);
  o = {};
  o.position_base = -1;
  refused(o);
  o = {};
  o.accuracy_exponents = {{*parse_satellite("G01"), 100}};
  refused(o);
  o = {};
  o.start = GnssTime::from_ns(kStart.ns() + 1);
  refused(o);
}

// kind: cross
// source: real products' own numbers, to the last printed digit
// tolerance: none
TEST(Sp3WriterData, EveryFileOfTheFolderComesBack) {
  for (const char* name :
       {"esbc-2020-177/COD0MGXFIN_20201770000_01D_05M_ORB.SP3.gz",
        "esbc-2020-177/GRG0MGXFIN_20201770000_01D_15M_ORB.SP3.gz",
        "esbc-2020-177/GRG0MGXFIN_20201760000_01D_15M_ORB.SP3.gz",
        "sio-2024-328/WUM0MGXRAP_20243280000_01D_05M_ORB.SP3.gz",
        "days/nga13063.apc.gz",
        "days/nga13064.apc.gz",
        "days/nga13065.apc.gz"}) {
    SCOPED_TRACE(name);
    const std::string path = STILLPOINT_DATA_OR_SKIP(name);
    auto stream = open_unpacked(path);
    ASSERT_TRUE(stream);
    const auto read = read_sp3(std::move(*stream));
    ASSERT_TRUE(read);
    const std::string text = written(*read);
    expect_same(read_back(text), *read);
  }
}

}  // namespace
}  // namespace stillpoint::products
