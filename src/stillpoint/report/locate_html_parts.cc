#include "stillpoint/report/locate_html_parts.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "stillpoint/plot/markup.h"
#include "stillpoint/plot/scale.h"

namespace stillpoint::report {

std::string length_words(double m) {
  const double size = std::abs(m);
  if (size < 0.00995) {
    return fmt::format("{:.1f} mm", m * 1000);
  }
  if (size < 0.0995) {
    return fmt::format("{:.0f} mm", m * 1000);
  }
  return size < 0.995 ? fmt::format("{:.0f} cm", m * 100)
                      : fmt::format("{:.1f} m", m);
}

ChartUnit chart_unit(double limit_m) {
  if (limit_m <= 0.1) {
    return {"mm", 1000};
  }
  return limit_m <= 1 ? ChartUnit{"cm", 100} : ChartUnit{"m", 1};
}

double residual_limit(std::vector<double> values_m,
                      double share,
                      double beyond) {
  constexpr double kLeast = 1e-4;
  for (double& v : values_m) {
    v = std::isfinite(v) ? std::abs(v) : 0;
  }
  if (values_m.empty()) {
    return kLeast;
  }
  std::ranges::sort(values_m);
  const auto last = static_cast<double>(values_m.size() - 1);
  const auto usual = static_cast<std::size_t>(share * last);
  const double limit = std::min(values_m.back(), beyond * values_m[usual]);
  return plot::round_up(std::max(limit, kLeast));
}

double rms(std::span<const double> values) {
  double sum = 0;
  for (const double v : values) {
    sum += v * v;
  }
  return values.empty() ? 0
                        : std::sqrt(sum / static_cast<double>(values.size()));
}

void put_figure(std::string& out,
                std::string_view picture,
                std::string_view sentence) {
  out += "<figure>\n";
  out += picture;
  if (!sentence.empty()) {
    out += "<figcaption>";
    out += plot::escape(sentence);
    out += "</figcaption>";
  }
  out += "</figure>\n";
}

}  // namespace stillpoint::report
