#include "stillpoint/api/metrics_writer.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace stillpoint::api {
namespace {

using Kind = MetricsWriter::Kind;

// kind: published   source: Prometheus text exposition format 0.0.4, from
// memory: backslash, quote and line end are escaped in a label's value
// tolerance: 0
TEST(MetricsWriter, WritesFamiliesAndEscapesLabels) {
  MetricsWriter out;
  out.begin(Kind::kCounter, "a_total", "Some.");
  out.sample({{"x", "a\\b\"c\nd"}, {"y", ""}}, std::uint64_t{1});
  out.sample({}, 0.5);
  out.flag("b", "Other.", true);
  EXPECT_EQ(out.text(),
            "# HELP stillpoint_a_total Some.\n"
            "# TYPE stillpoint_a_total counter\n"
            "stillpoint_a_total{x=\"a\\\\b\\\"c\\nd\",y=\"\"} 1\n"
            "stillpoint_a_total 0.5\n"
            "# HELP stillpoint_b Other.\n"
            "# TYPE stillpoint_b gauge\n"
            "stillpoint_b 1\n");
}

TEST(MetricsWriter, WhatIsNotKnownLeavesNothing) {
  MetricsWriter out;
  out.begin(Kind::kGauge, "empty", "Nothing.");
  out.gauge("none", "Nothing.", std::optional<double>());
  out.gauge("none", "Nothing.", std::optional<std::uint64_t>());
  out.gauge("nan", "Nothing.", std::optional(std::nan("")));
  out.gauge("infinite",
            "Nothing.",
            std::optional(std::numeric_limits<double>::infinity()));
  EXPECT_EQ(out.text(), "");
}

TEST(MetricsWriter, CountsKeepAllTheirDigits) {
  MetricsWriter out;
  out.counter("a_total", "Some.", std::numeric_limits<std::uint64_t>::max());
  EXPECT_TRUE(out.text().ends_with("a_total 18446744073709551615\n"));
}

}  // namespace
}  // namespace stillpoint::api
