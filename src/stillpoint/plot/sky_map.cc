#include "stillpoint/plot/sky_map.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <iterator>
#include <numbers>

#include "stillpoint/core/check.h"
#include "stillpoint/plot/style.h"

namespace stillpoint::plot {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr int kRings = 9;
constexpr double kRing = kPi / 2 / kRings;
constexpr double kRadius = 200, kHeight = 520;
constexpr double kCentreX = 240, kCentreY = 282;

// As many patches around as make them about as wide as they are high.
int around(int ring) {
  const double middle = (ring + 0.5) * kRing;
  return std::max(1, static_cast<int>(std::lround(36 * std::cos(middle))));
}

// "x y" of a direction.
std::string at(double azimuth_rad, double elevation_rad) {
  const Xy p = sky_place(azimuth_rad, elevation_rad);
  return fmt::format("{} {}", px(kRadius * p.x), px(kRadius * p.y));
}

// The pale steps next to the middle need none.
bool has_sign(int step) {
  return std::abs(step - kValueSteps / 2) >= 2;
}

void put_sign(std::string& out, double x, double y, bool plus) {
  fmt::format_to(std::back_inserter(out),
                 "<path class=\"sign\" d=\"M{} {}h8{}\"/>",
                 px(x - 4),
                 px(y),
                 plus ? "m-4-4v8" : "");
}

void put_patch(std::string& out, const SkyPatch& p, double limit) {
  const double outer = kRadius * (1 - p.elevation_from_rad / (kPi / 2));
  const double inner = kRadius * (1 - p.elevation_to_rad / (kPi / 2));
  fmt::format_to(std::back_inserter(out),
                 "<g class=\"v{}\"><path class=\"fill\" d=\"M{}A{} {} 0 0 1 {}"
                 "L{}A{} {} 0 0 0 {}z\"/></g>",
                 value_step(p.mean, limit),
                 at(p.azimuth_from_rad, p.elevation_from_rad),
                 px(outer),
                 px(outer),
                 at(p.azimuth_to_rad, p.elevation_from_rad),
                 at(p.azimuth_to_rad, p.elevation_to_rad),
                 px(inner),
                 px(inner),
                 at(p.azimuth_from_rad, p.elevation_to_rad));
  if (has_sign(value_step(p.mean, limit))) {
    const Xy middle =
        sky_place((p.azimuth_from_rad + p.azimuth_to_rad) / 2,
                  (p.elevation_from_rad + p.elevation_to_rad) / 2);
    put_sign(out, kRadius * middle.x, kRadius * middle.y, p.mean > 0);
  }
  out += "\n";
}

void put_rings(std::string& out) {
  for (const int degrees : {0, 30, 60}) {
    const double radius = kRadius * (90 - degrees) / 90;
    fmt::format_to(std::back_inserter(out),
                   "<path class=\"{}\" d=\"M0 {}A{} {} 0 1 1 0 {}A{} {} 0 1 1 "
                   "0 {}\"/>\n",
                   degrees == 0 ? "axis" : "ring",
                   px(-radius),
                   px(radius),
                   px(radius),
                   px(radius),
                   px(radius),
                   px(radius),
                   px(-radius));
  }
  put_line(out, -kRadius, 0, kRadius, 0, "ring");
  put_line(out, 0, -kRadius, 0, kRadius, "ring");
  // Beside the north line, where letters cover the least.
  put_text(out, 4, -kRadius * 2 / 3 - 4, "halo", "start", "30\u00b0");
  put_text(out, 4, -kRadius / 3 - 4, "halo", "start", "60\u00b0");
  put_text(out, 0, -kRadius - 8, "name", "middle", "N");
  put_text(out, kRadius + 6, 6, "name", "start", "E");
  put_text(out, 0, kRadius + 24, "name", "middle", "S");
  put_text(out, -kRadius - 6, 6, "name", "end", "W");
}

// The colours from the highest value down, at the right.
void put_scale(std::string& out, const SkyScale& scale) {
  constexpr double kX = 520, kY = 150, kBox = 24;
  put_text(out, kX - 30, kY - 14, "name", "start", scale.words);
  for (int i = 0; i < kValueSteps; ++i) {
    const double y = kY + kBox * i;
    fmt::format_to(std::back_inserter(out),
                   "<rect class=\"v{}\" x=\"{}\" y=\"{}\" width=\"26\" "
                   "height=\"{}\"/>",
                   kValueSteps - 1 - i,
                   px(kX),
                   px(y),
                   px(kBox));
    if (has_sign(kValueSteps - 1 - i)) {
      put_sign(out, kX + 13, y + kBox / 2, i < kValueSteps / 2);
    }
  }
  const std::array<std::string, 3> labels{
      "+" + scale.limit_text, "0", "\u2212" + scale.limit_text};
  for (std::size_t i = 0; i < labels.size(); ++i) {
    put_text(out,
             kX + 34,
             kY + kBox * (0.5 + 4.0 * static_cast<double>(i)) + 5,
             "name",
             "start",
             labels[i]);
  }
}

}  // namespace

Xy sky_place(double azimuth_rad, double elevation_rad) {
  const double radius = 1 - elevation_rad / (kPi / 2);
  return {radius * std::sin(azimuth_rad), -radius * std::cos(azimuth_rad)};
}

std::vector<SkyPatch> sky_patches(std::span<const SkySample> samples) {
  std::array<std::vector<SkyPatch>, kRings> rings;
  for (int ring = 0; ring < kRings; ++ring) {
    const double width = 2 * kPi / around(ring);
    for (int i = 0; i < around(ring); ++i) {
      rings[static_cast<std::size_t>(ring)].push_back(
          {.azimuth_from_rad = i * width,
           .azimuth_to_rad = (i + 1) * width,
           .elevation_from_rad = ring * kRing,
           .elevation_to_rad = (ring + 1) * kRing});
    }
  }
  for (const SkySample& s : samples) {
    if (!std::isfinite(s.value) || !std::isfinite(s.azimuth_rad) ||
        !(s.elevation_rad >= 0 && s.elevation_rad <= kPi)) {
      continue;
    }
    const auto ring = static_cast<std::size_t>(
        std::min(s.elevation_rad / kRing, kRings - 1.0));
    const double turns = s.azimuth_rad / (2 * kPi);
    const auto size = static_cast<double>(rings[ring].size());
    const auto i = static_cast<std::size_t>(
        std::min((turns - std::floor(turns)) * size, size - 1));
    rings[ring][i].mean += s.value;
    ++rings[ring][i].count;
  }
  std::vector<SkyPatch> out;
  for (const auto& ring : rings) {
    for (SkyPatch patch : ring) {
      if (patch.count > 0) {
        patch.mean /= patch.count;
        out.push_back(patch);
      }
    }
  }
  return out;
}

std::string sky_map(const Caption& caption,
                    const SkyScale& scale,
                    std::span<const SkyPatch> patches) {
  STILLPOINT_CHECK(scale.limit > 0);
  std::string out = open_picture(caption, kHeight);
  put_scale(out, scale);
  fmt::format_to(std::back_inserter(out),
                 "<g transform=\"translate({} {})\">\n",
                 px(kCentreX),
                 px(kCentreY));
  for (const SkyPatch& patch : patches) {
    if (patch.count >= scale.fewest) {
      put_patch(out, patch, scale.limit);
    }
  }
  put_rings(out);
  out += "</g></svg>\n";
  return out;
}

}  // namespace stillpoint::plot
