#include "stillpoint/report/locate_html.h"

#include <fmt/format.h>

#include "stillpoint/plot/markup.h"
#include "stillpoint/plot/style.h"
#include "stillpoint/report/locate_html_parts.h"

namespace stillpoint::report {
namespace {

constexpr const char* kPageRules =
    ":root{color-scheme:light dark}"
    "body{margin:0 auto;padding:1rem;max-width:45rem;line-height:1.5;"
    "font-family:system-ui,sans-serif;color:var(--plot-ink);"
    "background:var(--plot-paper)}"
    "h1{margin:.5rem 0 0;font-size:1.7rem;overflow-wrap:anywhere}"
    "h2{margin:2.2rem 0 .6rem;font-size:1.2rem;"
    "border-bottom:1px solid var(--plot-grid)}"
    ".state{margin:.2rem 0 1rem;font-size:1.1rem}"
    ".doubt{padding:.4rem .7rem;border:2px solid var(--plot-mark);"
    "font-weight:600}"
    "dl{display:grid;grid-template-columns:11rem 1fr;gap:.45rem 1rem;margin:0}"
    "dt{font-weight:600}dd{margin:0;overflow-wrap:anywhere}"
    "li{margin:.4rem 0}code{font-size:.9rem;overflow-wrap:anywhere}"
    "figure{margin:1.2rem 0 1.8rem}figcaption{font-size:.92rem}"
    ".wide{overflow-x:auto}table{border-collapse:collapse}"
    "th,td{padding:.2rem 1rem .2rem 0;text-align:left;vertical-align:top;"
    "border-bottom:1px solid var(--plot-grid)}"
    "th[scope=row]{font-weight:400}"
    ".numbers td,.numbers th+th{text-align:right;"
    "font-variant-numeric:tabular-nums}"
    ".files td{overflow-wrap:anywhere}.files code{word-break:break-all}"
    "footer{margin:2rem 0;font-size:.85rem}"
    "@media(max-width:600px){dl{display:block}dd{margin:0 0 .7rem}"
    "th,td{padding-right:.6rem}}";

constexpr const char* kCautions =
    "<h2>Cautions</h2>\n<ul>\n"
    "<li>A station coordinate from this program is not a survey certificate. "
    "Legal boundaries and construction control belong to licensed "
    "practice.</li>\n"
    "<li>A coordinate is worth little without its frame and date: the ground "
    "moves, by centimetres a year in most places.</li>\n"
    "<li>Corrections from a station at this coordinate are no safety function "
    "of a machine or drone, and not for safety of life or aviation.</li>\n"
    "</ul>\n";

}  // namespace

std::string page_begin(const std::string& name, const std::string& title) {
  return fmt::format(
      "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n"
      "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src "
      "'none'; style-src 'unsafe-inline'\"/>\n"
      "<meta name=\"viewport\" content=\"width=device-width, "
      "initial-scale=1\"/>\n"
      "<title>{}: {}</title>\n<style>{}{}</style>\n</head>\n"
      "<body>\n<h1>{}</h1>\n",
      name,
      title,
      plot::style(),
      kPageRules,
      name);
}

std::string page_end(const std::string& version) {
  return fmt::format(
      "{}<footer>Written by Stillpoint {}.</footer>\n</body>\n"
      "</html>\n",
      kCautions,
      plot::escape(version));
}

std::string page_name(const std::string& marker) {
  return marker.empty() ? "Antenna without a name" : plot::escape(marker);
}

std::string locate_html(const solve::Solution& solution,
                        const LocateContext& context,
                        const solve::PppSeries* series) {
  std::string out =
      page_begin(page_name(context.marker_name), "located position");
  out += answer_html(solution, context);
  const bool pictures =
      series != nullptr && !(series->growth.empty() && series->zenith.empty() &&
                             series->residuals.empty());
  if (pictures) {
    out += growth_html(series->growth,
                       solution.first ? &*solution.first : nullptr);
    out += residuals_html(series->residuals);
    out += zenith_html(series->zenith);
  } else {
    out +=
        "<h2>Pictures</h2>\n<p>There are none: this method keeps no record "
        "of its residuals over time.</p>\n";
  }
  out += tables_html(solution, context, series);
  out += page_end(context.version);
  return out;
}

}  // namespace stillpoint::report
