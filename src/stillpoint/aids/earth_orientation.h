// Orientation of the Earth from the tables of a product, and its values
// between the rows.
#pragma once

#include <cstddef>
#include <cstdint>
#include <limits>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint {

// Pole of the terrestrial frame as IERS counts it: x towards Greenwich, y
// towards 90 degrees west. Diurnal and shorter parts are not in it.
struct EarthOrientation {
  double x_pole_rad = 0, y_pole_rad = 0, ut1_minus_utc_s = 0;
};

// One row of a table. NaN: the product gives none.
struct EarthOrientationRow {
  static constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

  GnssTime time;
  EarthOrientation value;
  double lod_s = 0;  // excess length of day: UT1 loses it in 86400 s
  double x_rate_rad_per_s = kNone, y_rate_rad_per_s = kNone;
  double x_sigma_rad = kNone, y_sigma_rad = kNone, ut1_sigma_s = kNone;
};

// The content of one file.
struct EarthOrientationProduct {
  std::string source;  // path, for messages
  std::string series;  // "C04 14", "C04 20", "IGS ERP 2", "IERS table"
  std::vector<EarthOrientationRow> rows;  // times ascend
  // Before 1980-01-06, where leap seconds are not known here; incomplete or
  // predicted.
  std::uint64_t rows_left_out = 0;
};

// Earth orientation by time. Between two rows that are at most two days apart
// the pole and UT1-TAI are linear, so that a leap second is never interpolated
// over. A product that has rows on both sides of the instant answers first, in
// the order of adding; then the nearest rows of different products. Beyond the
// last row of a product, and on both sides of its only row, up to one day is
// answered with the LOD and the pole's rate (where the product has no rates:
// the slope of the last two rows; else none). Elsewhere nothing.
//
//   accuracy  of a straight line over a day of C04: 0.04 mas rms in the pole
//             and 20 us rms in UT1 (a quarter of what the tests measure over
//             two days, EarthOrientationData.*); a day beyond the last row at
//             worst 1.5 mas and 0.2 ms in 300 days of 2020
//   threads   the const functions may be called from several at once
class EarthOrientationSeries {
 public:
  // Takes the rows of the product.
  //
  //   errors   kNoData without rows; kBadFormat for rows that do not ascend,
  //            values that are not finite, and UT1-UTC that steps by half a
  //            second or more where this program knows no leap second. The
  //            product is then left out
  Status add(EarthOrientationProduct product);

  [[nodiscard]] std::optional<EarthOrientation> at(GnssTime t) const;

  // Of the rows of all products.
  [[nodiscard]] std::optional<GnssTime> first() const;
  [[nodiscard]] std::optional<GnssTime> last() const;

 private:
  struct Node {
    GnssTime time;
    double x_rad = 0, y_rad = 0, ut1_minus_tai_s = 0;
  };
  // Rates [1/s] that hold beyond the last row.
  struct Layer {
    std::vector<Node> nodes;
    double x_rate = 0, y_rate = 0, ut1_rate = 0;
  };
  static EarthOrientation value_of(const Node& node);
  static EarthOrientation between(const Node& a, const Node& b, GnssTime t);
  static std::optional<EarthOrientation> beyond(const Layer& layer, GnssTime t);

  std::vector<Layer> layers_;
};

}  // namespace stillpoint
