#include <gtest/gtest.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "stillpoint/plot/well_formed.h"
#include "stillpoint/report/locate_html_example.h"
#include "stillpoint/report/locate_json.h"
#include "stillpoint/report/tie_html.h"
#include "stillpoint/report/tie_json.h"
#include "stillpoint/report/tie_text.h"

namespace stillpoint::report {
namespace {

bool has(const std::string& text, const std::string& piece) {
  return text.find(piece) != std::string::npos;
}

Ecef here() {
  return to_ecef({0.8255, 0.1553, 512.0});
}

// A tie to a station that is `offset` away, whose known coordinate is wrong by
// `mistake_m` in height.
TieReport tie(const std::string& name, const Enu& offset, double mistake_m) {
  constexpr double kSigmaM = 0.003;
  TieReport out;
  const Ecef there = from_enu(offset, here());
  const Ecef known = from_enu({0, 0, mistake_m}, there);
  out.to = name;
  out.antenna_type = "SPDEMO-A1       NONE";
  out.typed = "4278387.460,635620.710,4672340.040,0.005,0.005,0.005";
  out.known.position_m = known;
  out.known.sigma_m = {0.005, 0.005, 0.005};
  out.known.frame = "ITRF2020";
  out.known.epoch = example_first() - Duration{365.25 * 86'400};
  out.moved.position_m = known;
  out.moved.covariance_m2 = {25e-6, 0, 0, 0, 25e-6, 0, 0, 0, 25e-6};
  out.moved.moved_by = "plate model ITRF2020 EURA";
  out.moved.moved_m = 0.0257;
  solve::TieAnswer& a = out.answer;
  a.vector_m = here() - there;
  a.covariance_m2 = {kSigmaM * kSigmaM,
                     0,
                     0,
                     0,
                     kSigmaM * kSigmaM,
                     0,
                     0,
                     0,
                     kSigmaM * kSigmaM};
  a.length_m = norm(a.vector_m);
  a.handling = "L1 and L2 apart, the ionosphere taken for the same";
  solve::Solution& s = a.solution;
  s.status = solve::SolveStatus::kConverged;
  s.why = "the integers stand";
  s.position = FramedPosition{here(), {}, example_first(), {}, Point::kMarker};
  s.sigma_enu_m = {kSigmaM, kSigmaM, kSigmaM};
  s.sigma_without_calibration_enu_m = {0.001, 0.001, 0.002};
  s.first = example_first();
  s.last = example_first() + Duration{3570};
  s.counts.epochs = s.counts.epochs_seen = 120;
  s.counts.observations = 900;
  s.counts.rejected = 3;
  s.counts.satellites[System::kGps] = 9;
  s.phase_rms_m = 0.004;
  s.code_rms_m = 0.5;
  s.slips = 2;
  s.ambiguities = 18;
  s.ambiguities_fixed = 16;
  s.ambiguity_ratio = 7.5;
  s.fixed = true;
  s.integers_from = "double differences";
  s.calibration = "full";
  s.warnings = {{"no_earth", "of the station here", std::nullopt},
                {"short_of_sky", "of one end: " + name, 0.002}};
  return out;
}

TieContext context(std::vector<TieReport> ties) {
  TieContext c;
  c.here = example_context();
  c.here.without.clear();
  c.frame = "ITRF2020";
  c.epoch = example_first() + Duration{1785};
  c.ties = std::move(ties);
  std::vector<solve::NetworkTie> rows;
  for (const TieReport& t : c.ties) {
    if (has_vector(t)) {
      rows.push_back({t.to,
                      t.moved.position_m,
                      t.moved.covariance_m2,
                      t.answer.vector_m,
                      t.answer.covariance_m2});
    }
  }
  if (rows.empty()) {
    return c;
  }
  c.network = solve::adjust_network(rows);
  std::size_t at = 0;
  for (TieReport& t : c.ties) {
    if (has_vector(t)) {
      t.network = c.network->ties[at++];
    }
  }
  c.sigma_without_calibration_enu_m = {0.001, 0.001, 0.002};
  return c;
}

TieContext one() {
  return context({tie("RIDGE", {900, 300, 20}, 0)});
}

TieContext three(double mistake_m) {
  return context({tie("RIDGE", {900, 300, 20}, 0),
                  tie("MILL", {-400, 800, -5}, mistake_m),
                  tie("DAM", {100, -2000, 60}, 0)});
}

TieReport without_data() {
  TieReport out = tie("MILL", {-400, 800, -5}, 0);
  out.answer = {};
  out.answer.solution.why = "no common epochs";
  return out;
}

TEST(TieJson, OfOneTieHasTheWholeUncertaintyAndNothingToTest) {
  const TieContext c = one();
  const solve::Solution s = tie_solution(c);
  const auto d = tie_json(s, c);
  EXPECT_EQ(d["status"], "converged");
  EXPECT_EQ(d["method"], "tie-fixed");
  EXPECT_EQ(d["position"]["frame"], "ITRF2020");
  EXPECT_EQ(d["position"]["epoch"], "2024-11-23T00:29:45Z");
  EXPECT_EQ(d["position"]["point"], "marker");
  // kind: cross; source: two independent sigmas, 5 and 3 mm, added in
  // quadrature tolerance: the document's steps of 0.01 mm
  EXPECT_NEAR(d["position"]["sigma_enu_m"][2].get<double>(),
              std::hypot(0.005, 0.003),
              6e-6);
  const auto& row = d["ties"][0];
  EXPECT_EQ(row["to"], "RIDGE");
  EXPECT_EQ(row["ionosphere"], "none");
  EXPECT_EQ(row["known"]["moved_by"], "plate model ITRF2020 EURA");
  EXPECT_EQ(row["known"]["moved_m"].dump(), "0.0257");
  EXPECT_EQ(row["known"]["typed"], c.ties[0].typed);
  EXPECT_EQ(d["ambiguities"]["total"], 18);
  EXPECT_EQ(d["ambiguities"]["fixed"], 16);
  EXPECT_EQ(d["ambiguities"]["ratio"], 7.5);
  EXPECT_EQ(d["ambiguities"]["integers_from"], "double differences");
  EXPECT_EQ(d["network"]["dof"], 0);
  EXPECT_TRUE(d["network"]["limit"].is_null());
  EXPECT_TRUE(d["network"]["suspect"].is_null());
  EXPECT_FALSE(d.contains("error"));
}

TEST(TieJson, SumsOfThreeTies) {
  const TieContext c = three(0);
  const auto d = tie_json(tie_solution(c), c);
  EXPECT_EQ(d["status"], "converged") << d["why"];
  EXPECT_EQ(d["ambiguities"]["total"], 54);
  EXPECT_EQ(d["used"]["observations"], 2700);
  EXPECT_EQ(d["used"]["epochs"], 120);
  EXPECT_EQ(d["used"]["satellites"]["G"], 9);
  EXPECT_EQ(d["network"]["dof"], 6);
  EXPECT_EQ(d["network"]["passed"], true);
  EXPECT_EQ(d["ties"].size(), 3U);
}

TEST(TieJson, AKnownCoordinateThatIsWrongIsNamedAndNothingIsConverged) {
  const TieContext c = three(0.06);
  const auto d = tie_json(tie_solution(c), c);
  EXPECT_EQ(d["status"], "not_converged");
  EXPECT_EQ(d["network"]["passed"], false);
  EXPECT_EQ(d["network"]["suspect"], "MILL");
  EXPECT_EQ(d["why"], d["network"]["why"]);
  EXPECT_TRUE(d["position"].is_object());
}

TEST(TieJson, ATieWithoutDataIsNoPartAndSaysSo) {
  const TieContext c =
      context({tie("RIDGE", {900, 300, 20}, 0), without_data()});
  const auto d = tie_json(tie_solution(c), c);
  EXPECT_EQ(d["status"], "not_converged");
  EXPECT_TRUE(has(d["why"], "the tie to MILL failed: no common epochs"));
  EXPECT_TRUE(d["ties"][1]["vector_ecef_m"].is_null());
  EXPECT_TRUE(d["ties"][1]["residual_enu_m"].is_null());
  EXPECT_TRUE(d["ties"][1]["known"]["used_ecef_m"].is_null());
  EXPECT_EQ(d["method"], "tie-fixed");
}

TEST(TieJson, WithoutAnyVectorThereIsNoPositionAndAnError) {
  const TieContext c = context({without_data()});
  const auto d = tie_json(tie_solution(c), c);
  EXPECT_EQ(d["status"], "failed");
  EXPECT_TRUE(d["position"].is_null());
  EXPECT_TRUE(d["network"].is_null());
  EXPECT_EQ(d["error"]["what"], "no common epochs");
}

TEST(TieJson, OneTieOfRealNumbersMakesTheMethodFloat) {
  TieContext c = three(0);
  c.ties[1].answer.solution.fixed = false;
  EXPECT_EQ(tie_method(c), "tie-float");
  EXPECT_FALSE(tie_solution(c).fixed);
}

TEST(TieJson, AFrameThatNobodyStatedIsNull) {
  TieContext c = one();
  c.frame.clear();
  EXPECT_TRUE(tie_json(tie_solution(c), c)["position"]["frame"].is_null());
  EXPECT_TRUE(has(tie_text(tie_solution(c), c), "not stated"));
}

TEST(TieSolution, WhatEveryTieWarnsOfIsToldOnce) {
  const TieContext c = three(0);
  int of_here = 0, of_one_end = 0;
  for (const solve::Warning& w : tie_solution(c).warnings) {
    of_here += w.code == "no_earth" ? 1 : 0;
    of_one_end += w.code == "short_of_sky" ? 1 : 0;
  }
  EXPECT_EQ(of_here, 1);
  EXPECT_EQ(of_one_end, 3);
}

TEST(TieText, SaysWhereHowSureTiedToWhatAndWhatNext) {
  const TieContext c = one();
  const std::string text = tie_text(tie_solution(c), c);
  for (const char* piece : {"LHOL00XXX",
                            "tied to RIDGE",
                            "kept as integers",
                            "ITRF2020 at 2024-11-23",
                            "to RIDGE, 948.9 m away",
                            "16 of 18 ambiguities",
                            "moved by 25.7 mm",
                            "less sure than the tie",
                            "tie to a second known station",
                            "not a survey certificate"}) {
    EXPECT_TRUE(has(text, piece)) << piece << "\n" << text;
  }
  EXPECT_FALSE(has(text, "Network"));
  for (std::size_t begin = 0; begin < text.size();) {
    const std::size_t end = text.find('\n', begin);
    EXPECT_LE(end - begin, 78U) << text.substr(begin, end - begin);
    begin = end + 1;
  }
}

TEST(TieText, NextStepIsThatOfTheReason) {
  TieContext c = three(0);
  c.ties.resize(1);
  c.network->ties.resize(1);
  solve::Solution& s = c.ties[0].answer.solution;
  s.status = solve::SolveStatus::kNotConverged;
  EXPECT_TRUE(has(tie_next_step(tie_solution(c), c), "open sky"));
  s.warnings.push_back({"known_position_differs", "10 km", 1e4});
  EXPECT_TRUE(has(tie_next_step(tie_solution(c), c), "known coordinate"));
  s.warnings.push_back({"antenna_moved", "by 50 mm", 0.05});
  EXPECT_TRUE(has(tie_next_step(tie_solution(c), c), "--start"));
  s.status = solve::SolveStatus::kConverged;
  EXPECT_TRUE(has(tie_next_step(tie_solution(c), c), "second known"));
}

TEST(TieText, ConflictAndExactCoordinatesAreSaid) {
  TieContext c = three(0.06);
  c.ties[0].known.sigma_m.reset();
  const std::string text = tie_text(tie_solution(c), c);
  EXPECT_TRUE(has(text, "NOT a position to rely on"));
  EXPECT_TRUE(has(text, "do not use this position"));
  EXPECT_TRUE(has(text, "taken as exact"));
  EXPECT_TRUE(has(text, "which do not agree"));
  // The reason once, at the top.
  EXPECT_FALSE(has(text, "Network"));
  const TieContext sound = three(0);
  EXPECT_TRUE(has(tie_text(tie_solution(sound), sound), "Network"));
  EXPECT_TRUE(has(text, "MILL"));
}

TEST(TieText, ResidualsOfNothingHaveNoMinus) {
  TieReport t = tie("RIDGE", {900, 300, 20}, 0);
  EXPECT_EQ(residual_words(t), "");
  t.network.emplace();
  t.network->residual_enu_m = {-0.00004, 0.00123, -0.0135};
  EXPECT_EQ(residual_words(t), "east +0.0, north +1.2, up -13.5 mm");
}

TEST(TieHtml, HasEveryTieItsPicturesAndTheVerdict) {
  TieContext c = three(0.06);
  c.ties[0].series = c.ties[1].series = example_series(false);
  const std::string page = tie_html(tie_solution(c), c);
  for (const char* piece : {"<title>LHOL00XXX: tied position</title>",
                            "<h3>RIDGE</h3>",
                            "<h3>DAM</h3>",
                            "They do not",
                            "a tie: differences",
                            "id=\"tie1-growth-east",
                            "id=\"tie2-sky",
                            "16 of 18 ambiguities",
                            "not a survey certificate"}) {
    EXPECT_TRUE(has(page, piece)) << piece;
  }
  EXPECT_EQ(plot::xml_complaint(page), "");
  EXPECT_EQ(page, tie_html(tie_solution(c), c));
}

TEST(TieHtml, HostileNamesStayNames) {
  const std::string evil = "</title><script>x('1')</script>\"\xff<img src=x>";
  TieContext c = three(0.06);
  for (TieReport& t : c.ties) {
    t.to = t.typed = t.antenna_type = t.known.frame = t.moved.moved_by = evil;
    t.answer.handling = t.answer.solution.integers_from = evil;
  }
  c.network->why = c.frame = c.here.marker_name = evil;
  const std::string page = tie_html(tie_solution(c), c);
  EXPECT_FALSE(has(page, "<script"));
  EXPECT_FALSE(has(page, "<img"));
  EXPECT_FALSE(has(page, "\xff"));
  EXPECT_EQ(plot::xml_complaint(page), "");
  EXPECT_TRUE(has(to_text(tie_json(tie_solution(c), c)), "script"));
}

}  // namespace
}  // namespace stillpoint::report
