#include "stillpoint/report/tie_html.h"

#include <fmt/format.h>

#include <iterator>

#include "stillpoint/plot/markup.h"
#include "stillpoint/report/locate_html_parts.h"
#include "stillpoint/report/locate_text_parts.h"
#include "stillpoint/report/tie_text.h"

namespace stillpoint::report {
namespace {

using plot::escape;

void put_fact(std::string& out, const char* name, const std::string& words) {
  fmt::format_to(
      std::back_inserter(out), "<dt>{}</dt><dd>{}</dd>\n", name, escape(words));
}

void put_tie(std::string& out, const TieReport& tie) {
  const solve::TieAnswer& a = tie.answer;
  fmt::format_to(
      std::back_inserter(out), "<h3>{}</h3>\n<dl>\n", escape(name_of(tie)));
  if (!has_vector(tie)) {
    put_fact(out, "No vector", a.solution.why);
  } else {
    put_fact(out,
             "Vector",
             fmt::format("from there to here, marker to marker: X {:+.4f} m, Y "
                         "{:+.4f} m, Z {:+.4f} m; {} long",
                         a.vector_m.x_m,
                         a.vector_m.y_m,
                         a.vector_m.z_m,
                         distance_words(a.length_m)));
    put_fact(out, "How", a.handling);
    put_fact(out,
             "Ionosphere",
             ionosphere_name(a.ionosphere) +
                 std::string(a.air_estimated
                                 ? "; the air's difference was estimated"
                                 : "; the air's difference was modelled"));
  }
  if (const std::string words = integers_words(a.solution); !words.empty()) {
    put_fact(out, "Integers", words);
  }
  put_fact(out, "Known", known_words(tie));
  if (tie.network) {
    put_fact(out, "Off the adjusted position by", residual_words(tie));
  }
  out += "</dl>\n";
}

void put_network(std::string& out, const TieContext& c) {
  if (!c.network || c.network->dof == 0) {
    return;
  }
  const solve::Network& n = *c.network;
  fmt::format_to(std::back_inserter(out),
                 "<h3>Do the known coordinates agree?</h3>\n"
                 "<p class=\"{}\">{}</p>\n<p>{}</p>\n",
                 n.passed ? "state" : "state doubt",
                 n.passed ? "They do" : "They do not",
                 escape(n.why));
}

void put_pictures(std::string& out, const TieReport& tie, std::size_t number) {
  const solve::PppSeries& series = tie.series;
  if (series.growth.empty() && series.residuals.empty()) {
    return;
  }
  const std::string prefix = fmt::format("tie{}-", number);
  fmt::format_to(std::back_inserter(out),
                 "<h2>The tie to {}</h2>\n",
                 escape(name_of(tie)));
  const auto& first = tie.answer.solution.first;
  out += growth_html(series.growth, first ? &*first : nullptr, prefix);
  out += residuals_html(series.residuals, prefix);
}

}  // namespace

std::string tie_html(const solve::Solution& solution, const TieContext& c) {
  LocateContext here = c.here;
  here.method = tie_method(c);
  std::string out = page_begin(page_name(here.marker_name), "tied position");
  out += answer_html(solution, here);
  out += "<h2>Tied to</h2>\n";
  for (const TieReport& tie : c.ties) {
    put_tie(out, tie);
  }
  put_network(out, c);
  if (solution.position) {
    fmt::format_to(std::back_inserter(out),
                   "<dl>\n<dt>Limited by</dt><dd>{}</dd>\n"
                   "<dt>What next</dt><dd>{}</dd>\n</dl>\n",
                   escape(tie_limits(solution, c)),
                   escape(tie_next_step(solution, c)));
  }
  for (std::size_t i = 0; i < c.ties.size(); ++i) {
    put_pictures(out, c.ties[i], i + 1);
  }
  const bool one = c.ties.size() == 1;
  out += tables_html(solution, here, one ? &c.ties.front().series : nullptr);
  out += page_end(here.version);
  return out;
}

}  // namespace stillpoint::report
