// The sections of locate_html() and the words that they share.
#pragma once

#include <array>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/report/locate_context.h"
#include "stillpoint/solve/ppp_series.h"

namespace stillpoint::report {

// "1.2 mm", "34 mm", "12 cm", "1.5 m"; the sign is kept.
std::string length_words(double m);

// The unit in which a chart reaching up to `limit_m` is labelled.
struct ChartUnit {
  const char* name = "m";
  double per_m = 1;
};
ChartUnit chart_unit(double limit_m);

// End of an axis for values of both signs [m]: shows all of them unless few
// are far from the others; then `beyond` times as far as `share` of them reach.
// At least 0.1 mm.
double residual_limit(std::vector<double> values_m,
                      double share = 0.995,
                      double beyond = 1.5);

// sqrt of the mean square; 0 for nothing.
double rms(std::span<const double> values);

// A picture in its <figure>, with a sentence below it.
void put_figure(std::string& out,
                std::string_view picture,
                std::string_view sentence);

// The page up to its heading, and from its cautions on; `name` and `title` as
// they are in HTML, `version` as it is.
std::string page_begin(const std::string& name, const std::string& title);
std::string page_end(const std::string& version);
// "Antenna without a name" or the name as it is in HTML.
std::string page_name(const std::string& marker);

std::string answer_html(const solve::Solution& solution,
                        const LocateContext& context);
// first: of the data, from which hours are counted; null without one.
// prefix: of the ids, where a page has such pictures more than once.
std::string growth_html(std::span<const solve::GrowthPoint> growth,
                        const GnssTime* first,
                        const std::string& prefix = {});
std::string zenith_html(std::span<const solve::ZenithPoint> zenith);
std::string residuals_html(std::span<const solve::ResidualPoint> residuals,
                           const std::string& prefix = {});
std::string tables_html(const solve::Solution& solution,
                        const LocateContext& context,
                        const solve::PppSeries* series);

}  // namespace stillpoint::report
