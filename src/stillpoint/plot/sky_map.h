// The sky over the antenna: north up, east at the right, the zenith in the
// centre and the horizon around it, as seen on a map.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "stillpoint/plot/markup.h"
#include "stillpoint/plot/thin.h"

namespace stillpoint::plot {

struct SkySample {
  double azimuth_rad = 0;    // any turn; north 0, east pi/2
  double elevation_rad = 0;  // 0 .. pi/2
  double value = 0;
};

// A patch of about 10 by 10 degrees and the mean of what fell into it.
struct SkyPatch {
  double azimuth_from_rad = 0, azimuth_to_rad = 0;
  double elevation_from_rad = 0, elevation_to_rad = 0;
  double mean = 0;
  int count = 0;
};

// Patches with at least one sample, from the horizon up, then by azimuth.
// Samples below the horizon and values that are not finite are left out.
std::vector<SkyPatch> sky_patches(std::span<const SkySample> samples);

// Where a direction lies on the map, for a horizon of radius 1: x to the
// east, y to the south.
Xy sky_place(double azimuth_rad, double elevation_rad);

struct SkyScale {
  double limit = 1;        // > 0: value of the strongest colour
  std::string limit_text;  // "20"
  std::string words;       // "mean, mm"
  int fewest = 1;          // patches with fewer samples are left out
};

// The picture. A plus or minus stands in patches of the stronger colours, for
// those who see none.
std::string sky_map(const Caption& caption,
                    const SkyScale& scale,
                    std::span<const SkyPatch> patches);

}  // namespace stillpoint::plot
