#include "stillpoint/report/locate_html.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "stillpoint/plot/well_formed.h"
#include "stillpoint/report/locate_html_example.h"
#include "stillpoint/report/locate_html_parts.h"

namespace stillpoint::report {
namespace {

bool has(const std::string& text, const std::string& piece) {
  return text.find(piece) != std::string::npos;
}

TEST(LocateHtml, AnswersFirst) {
  const auto series = example_series(false);
  const std::string page =
      locate_html(example_solution(), example_context(), &series);
  for (const char* piece : {
           "<title>LHOL00XXX: located position</title>",
           "content=\"default-src 'none'; style-src 'unsafe-inline'\"",
           "47.297",
           "512.0000 m above the GRS80 ellipsoid",
           "IGS20 at 2024-11-23T11:59:45Z",
           "the mark or mount below the antenna",
           "east 2.1 mm, north 1.8 mm, up 15 mm",
           "east 1.3 mm, north 1.2 mm, up 4.2 mm",
           "precise point positioning",
           "15 GPS, 15 Galileo",
           "not a survey certificate",
           "licensed practice",
       }) {
    EXPECT_TRUE(has(page, piece)) << piece;
  }
  EXPECT_LT(page.find("Coordinate"), page.find("<svg"));
  EXPECT_EQ(plot::xml_complaint(page), "");
  EXPECT_EQ(page, locate_html(example_solution(), example_context(), &series));
}

TEST(LocateHtml, TellsEveryWarningTheLargestFirst) {
  const std::string page =
      locate_html(example_solution(), example_context(), nullptr);
  for (const solve::Warning& w : example_solution().warnings) {
    EXPECT_TRUE(has(page, "<code>" + w.code + "</code>"));
  }
  EXPECT_TRUE(has(page, "It may matter by 31 mm."));
  EXPECT_LT(page.find("antenna_uncalibrated"), page.find("leap_table_expired"));
  EXPECT_TRUE(has(page, "<code>ocean-loading</code> was left out"));
}

TEST(LocateHtml, TablesNameSatellitesReasonsAndFiles) {
  const auto series = example_series(false);
  solve::Solution s = example_solution();
  s.satellites.push_back({{System::kGps, 1}, 4711, 12, 0, 0.004});
  const std::string page = locate_html(s, example_context(), &series);
  EXPECT_TRUE(has(page, "<th scope=\"row\">G01</th><td>4711</td><td>12</td>"));
  EXPECT_TRUE(has(page, "<th scope=\"row\">E15</th>"));
  EXPECT_TRUE(
      has(page, "no orbit or clock for the time</th><td>731</td><td>1</td>"));
  EXPECT_TRUE(
      has(page, "<td>orbits.sp3</td><td><code>" + std::string(64, '7')));
}

TEST(LocateHtml, WithoutASeriesThereIsASentenceAndNoPicture) {
  const solve::PppSeries empty;
  for (const solve::PppSeries* series :
       std::initializer_list<const solve::PppSeries*>{nullptr, &empty}) {
    const std::string page =
        locate_html(example_solution(), example_context(), series);
    EXPECT_FALSE(has(page, "<svg"));
    EXPECT_TRUE(has(page, "keeps no record of its residuals"));
    EXPECT_EQ(plot::xml_complaint(page), "");
  }
}

TEST(LocateHtml, FixedAnswersSayWhatTheIntegersAreFrom) {
  solve::Solution s = example_solution();
  LocateContext c = example_context();
  c.method = "ppp-float";
  EXPECT_TRUE(has(locate_html(s, c, nullptr), "(precise point positioning)"));
  s.phase_rms_m = 0.006;
  s.fixed = true;
  s.ambiguities = 60;
  s.ambiguities_fixed = 55;
  s.integers_from = "phase biases of the <bias> product";
  c.method = "ppp-fixed";
  const std::string page = locate_html(s, c, nullptr);
  EXPECT_TRUE(has(page, "ambiguities kept as integers)"));
  EXPECT_TRUE(has(page,
                  "55 of 60 ambiguities are kept as integers (phase biases of "
                  "the &lt;bias&gt; product)"));
}

TEST(LocateHtml, DoubtAndFailureAreSaidAtTheTop) {
  solve::Solution s = example_solution();
  s.status = solve::SolveStatus::kNotConverged;
  s.why = "the antenna <moved>";
  std::string page = locate_html(s, example_context(), nullptr);
  EXPECT_TRUE(has(page, "class=\"state doubt\">Not a position to rely on<"));
  EXPECT_TRUE(has(page, "Why: the antenna &lt;moved&gt;"));
  page = locate_html({}, {}, nullptr);
  EXPECT_TRUE(has(page, "No position"));
  EXPECT_FALSE(has(page, "Coordinate"));
  EXPECT_EQ(plot::xml_complaint(page), "");
}

TEST(LocateHtml, HostileNamesStayNames) {
  const std::string evil = "</title><script>x('1')</script>\"\xff<img src=x>";
  solve::Solution s = example_solution();
  s.warnings = {{evil, evil, 1.0}};
  s.why = evil;
  s.status = solve::SolveStatus::kNotConverged;
  s.position->frame.name = evil;
  LocateContext c = example_context();
  c.method = c.marker_name = c.antenna_type = c.version = evil;
  c.without = {evil};
  c.inputs = {{evil, evil}};
  const auto series = example_series(false);
  const std::string page = locate_html(s, c, &series);
  EXPECT_FALSE(has(page, "<script"));
  EXPECT_FALSE(has(page, "<img"));
  EXPECT_FALSE(has(page, "\xff"));
  EXPECT_EQ(plot::xml_complaint(page), "");
}

TEST(LocateHtml, ReachesForNothingOutside) {
  const auto series = example_series(false);
  std::string page =
      locate_html(example_solution(), example_context(), &series);
  // The name space of SVG is a name, not a place.
  const std::string name = "http://www.w3.org/2000/svg";
  for (auto at = page.find(name); at != std::string::npos;
       at = page.find(name)) {
    page.erase(at, name.size());
  }
  for (const char* piece :
       {"http:", "https:", "src=", "href", "@import", "<link", "<script"}) {
    EXPECT_FALSE(has(page, piece)) << piece;
  }
}

TEST(LocateHtml, ADayOfThirtySatellitesStaysUnder600Kilobytes) {
  const auto series = example_series(true);
  EXPECT_EQ(series.residuals.size(), 30U * 2880);
  const std::string page =
      locate_html(example_solution(), example_context(), &series);
  EXPECT_LT(page.size(), 600'000U);
  EXPECT_GT(page.size(), 50'000U) << "where are the pictures?";
  EXPECT_EQ(plot::xml_complaint(page), "");
}

TEST(LocateHtml, AnHourShowsNoSettling) {
  auto series = example_series(false);
  series.growth.resize(1);
  const std::string page =
      locate_html(example_solution(), example_context(), &series);
  EXPECT_TRUE(has(page, "too short to show how the answer settled"));
  EXPECT_FALSE(has(page, "still moved"));
}

TEST(LocateHtml, ValuesThatAreNoNumbersDoNotStopThePage) {
  auto series = example_series(false);
  const double nan = std::nan("");
  const double infinity = std::numeric_limits<double>::infinity();
  series.growth[3].from_final_m.e_m = nan;
  series.growth[4].sigma_enu_m[2] = infinity;
  series.zenith[5].zenith_delay_m = nan;
  series.zenith[6].gradient_east_m = -infinity;
  series.residuals[7].phase_m = NAN;
  series.residuals[8].code_m = INFINITY;
  series.residuals[9].elevation_rad = NAN;
  series.residuals[10].azimuth_rad = NAN;
  series.residuals[11].elevation_rad = -1;
  const std::string page =
      locate_html(example_solution(), example_context(), &series);
  EXPECT_FALSE(has(page, "Mnan"));
  EXPECT_EQ(plot::xml_complaint(page), "");
  series.residuals.resize(1);
  series.growth.resize(1);
  series.zenith.resize(1);
  EXPECT_EQ(plot::xml_complaint(
                locate_html(example_solution(), example_context(), &series)),
            "");
}

TEST(LengthWords, TakeAUnitThatFits) {
  EXPECT_EQ(length_words(0.00123), "1.2 mm");
  EXPECT_EQ(length_words(-0.034), "-34 mm");
  EXPECT_EQ(length_words(0.0999), "10 cm");
  EXPECT_EQ(length_words(1.54), "1.5 m");
}

TEST(ResidualLimit, OneFarValueDoesNotFlattenThePicture) {
  std::vector<double> values(1000, 0.010);
  EXPECT_EQ(residual_limit(values), 0.010);
  values[7] = -9;
  // kind: regression; tolerance: rounding of one product; 1.5 times 10 mm,
  // rounded up to a whole digit.
  EXPECT_NEAR(residual_limit(values), 0.020, 1e-15);
  EXPECT_GT(residual_limit({}), 0);
}

}  // namespace
}  // namespace stillpoint::report
