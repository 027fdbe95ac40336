#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <numbers>

#include "stillpoint/plot/markup.h"
#include "stillpoint/report/locate_html_parts.h"
#include "stillpoint/report/locate_text_parts.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::report {
namespace {

using plot::escape;

void put_fact(std::string& out, std::string_view name, std::string_view words) {
  fmt::format_to(
      std::back_inserter(out), "<dt>{}</dt><dd>{}</dd>\n", name, escape(words));
}

std::string point_words(Point p) {
  switch (p) {
    case Point::kMarker:
      return "the mark or mount below the antenna; the antenna's height is "
             "taken off";
    case Point::kArp:
      return "the antenna's reference point";
    case Point::kPhaseCentre:
      return "the antenna's phase centre";
  }
  return {};
}

std::string method_words(const LocateContext& c) {
  const char* orbits = c.precise_orbits ? "precise" : "broadcast";
  if (c.method == "code") {
    return fmt::format("code ranges with {} orbits and clocks", orbits);
  }
  if (c.method.starts_with("ppp")) {
    return fmt::format(
        "carrier phases and code ranges with {} orbits and clocks (precise "
        "point positioning{})",
        orbits,
        c.method == "ppp-fixed" ? ", ambiguities kept as integers" : "");
  }
  if (c.method.starts_with("tie")) {
    return fmt::format(
        "a tie: differences of what this antenna and known stations observed "
        "at the same time, with {} orbits{}",
        orbits,
        c.method == "tie-fixed" ? "; ambiguities kept as integers" : "");
  }
  return c.method;
}

std::string angle(double rad, char positive, char negative, int decimals) {
  const double deg = rad * 180 / std::numbers::pi;
  return fmt::format("{:.{}f}\u00b0 {}",
                     std::abs(deg),
                     decimals,
                     deg < 0 ? negative : positive);
}

// In mm whatever the size, so that pages can be compared.
std::string sigma_words(const std::array<double, 3>& sigma_enu_m) {
  std::array<std::string, 3> mm;
  std::ranges::transform(sigma_enu_m, mm.begin(), [](double m) {
    return fmt::format("{:.{}f} mm", m * 1000, m < 0.00995 ? 1 : 0);
  });
  return fmt::format("east {}, north {}, up {}", mm[0], mm[1], mm[2]);
}

void put_place(std::string& out,
               const solve::Solution& s,
               const LocateContext& c) {
  const FramedPosition& p = *s.position;
  const bool wgs84 = p.frame.name == "WGS84";
  const Geodetic g =
      to_geodetic(p.ecef, wgs84 ? Ellipsoid::kWgs84 : Ellipsoid::kGrs80);
  // A digit below what the method can tell.
  const int digits = c.method == "code" ? 3 : 4;
  put_fact(out,
           "Coordinate",
           fmt::format("X {:.{}f} m, Y {:.{}f} m, Z {:.{}f} m",
                       p.ecef.x_m,
                       digits,
                       p.ecef.y_m,
                       digits,
                       p.ecef.z_m,
                       digits));
  put_fact(out,
           "The same in degrees",
           fmt::format("{}, {}, {:.{}f} m above the {} ellipsoid (not above "
                       "the sea)",
                       angle(g.lat_rad, 'N', 'S', digits + 5),
                       angle(g.lon_rad, 'E', 'W', digits + 5),
                       g.height_m,
                       digits,
                       wgs84 ? "WGS84" : "GRS80"));
  put_fact(out,
           "Frame and date",
           fmt::format("{} at {}",
                       p.frame.name.empty() ? "not stated" : p.frame.name,
                       format_utc(p.epoch)));
  put_fact(out, "Point", point_words(p.point));
  put_fact(out,
           "How sure",
           fmt::format("{} (one sigma: two times in three the truth lies "
                       "within it, 19 times in 20 within twice that)",
                       sigma_words(s.sigma_enu_m)));
  if (s.sigma_without_calibration_enu_m != s.sigma_enu_m) {
    put_fact(out,
             "Without the antenna's share",
             fmt::format("{}: what is left when sites with the same antenna "
                         "are compared",
                         sigma_words(s.sigma_without_calibration_enu_m)));
  }
}

void put_data(std::string& out,
              const solve::Solution& s,
              const LocateContext& c) {
  put_fact(out, "Method", method_words(c));
  if (s.first && s.last) {
    std::string satellites;
    for (const auto& [system, count] : s.counts.satellites) {
      fmt::format_to(std::back_inserter(satellites),
                     "{}{} {}",
                     satellites.empty() ? "" : ", ",
                     count,
                     system_name(system));
    }
    put_fact(out,
             "Data",
             fmt::format("{} epochs from {} to {}; satellites: {}; {} "
                         "observations used, {} left out as outliers",
                         s.counts.epochs,
                         format_utc(*s.first),
                         format_utc(*s.last),
                         satellites.empty() ? "none" : satellites,
                         s.counts.observations,
                         s.counts.rejected));
  }
  if (const std::string words = integers_words(s); !words.empty()) {
    put_fact(out, "Integers", words);
  }
  put_fact(
      out,
      "Antenna",
      fmt::format("{}; calibration: {}; from the mark to its reference "
                  "point east {:.4f}, north {:.4f}, up {:.4f} m",
                  c.antenna_type.empty() ? "type not stated" : c.antenna_type,
                  s.calibration,
                  c.antenna_delta_enu_m.e_m,
                  c.antenna_delta_enu_m.n_m,
                  c.antenna_delta_enu_m.u_m));
}

// Those with a size first, the largest at the top.
void put_limits(std::string& out,
                const solve::Solution& s,
                const LocateContext& c) {
  std::vector<solve::Warning> warnings = s.warnings;
  std::ranges::stable_sort(warnings, [](const auto& a, const auto& b) {
    return std::abs(a.size_m.value_or(0)) > std::abs(b.size_m.value_or(0));
  });
  out += "<h2>What limits it</h2>\n";
  if (warnings.empty() && c.without.empty()) {
    out += "<p>Nothing out of the ordinary was found.</p>\n";
    return;
  }
  out += "<ul class=\"limits\">\n";
  for (const solve::Warning& w : warnings) {
    fmt::format_to(std::back_inserter(out), "<li>{}", escape(w.what));
    if (w.size_m) {
      fmt::format_to(std::back_inserter(out),
                     " <strong>It may matter by {}.</strong>",
                     length_words(std::abs(*w.size_m)));
    }
    fmt::format_to(
        std::back_inserter(out), " <code>{}</code></li>\n", escape(w.code));
  }
  for (const std::string& term : c.without) {
    fmt::format_to(std::back_inserter(out),
                   "<li>The model term <code>{}</code> was left out, as "
                   "asked.</li>\n",
                   escape(term));
  }
  out += "</ul>\n";
}

}  // namespace

std::string answer_html(const solve::Solution& s, const LocateContext& c) {
  std::string out;
  const bool sure = s.status == solve::SolveStatus::kConverged;
  const char* headline = !s.position ? "No position"
                         : sure      ? "Located"
                                     : "Not a position to rely on";
  fmt::format_to(std::back_inserter(out),
                 "<p class=\"{}\">{}</p>\n",
                 s.position && sure ? "state" : "state doubt",
                 headline);
  if ((!s.position || !sure) && !s.why.empty()) {
    fmt::format_to(std::back_inserter(out), "<p>Why: {}</p>\n", escape(s.why));
  }
  out += "<dl>\n";
  if (s.position) {
    put_place(out, s, c);
  }
  put_data(out, s, c);
  out += "</dl>\n";
  put_limits(out, s, c);
  return out;
}

}  // namespace stillpoint::report
