// Maps of the ionosphere's vertical electron content on a thin shell, and its
// values between the nodes and the maps.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/gnss/satellite.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint {

// Nodes first, first + step … of an axis; step may be negative.
struct GridAxis {
  double first_rad = 0, step_rad = 0;
  std::size_t count = 0;
  friend bool operator==(const GridAxis&, const GridAxis&) = default;
};

// Electron content [TECU, 1e16 electrons per m^2] by rows of latitude; NaN:
// none at that node.
struct IonosphereMap {
  GnssTime time;
  std::vector<float> tec_tecu;
  std::vector<float> rms_tecu;  // empty: the product has no map of errors
};

// The shell that the maps lie on.
struct IonosphereShell {
  double base_radius_m = 6'371'000;
  double height_m = 450'000;
  // "COSZ", "QFAC", "NONE" …, the word of the file: how slant content was made
  // vertical. "NONE" may stand for one that only the description names.
  std::string mapping_function;
};

// Code bias of a satellite (its name) or a receiver, as it stands in the file;
// which codes differ says only the description.
struct IonosphereBias {
  System system = System::kGps;
  std::optional<SatId> satellite;  // nothing: a station's
  std::string station;             // "ZIMM 14001M004"
  double bias_ns = 0, rms_ns = 0;
};

// The content of one file.
struct IonosphereProduct {
  std::string source;  // path, for messages
  std::string system;  // "GPS", "MIX", "GNSS": the data behind the maps
  std::string program, run_by, date;
  std::vector<std::string> description;
  IonosphereShell shell;
  double elevation_cutoff_rad = 0;
  GridAxis latitude, longitude;     // geocentric, on the sphere
  std::vector<IonosphereMap> maps;  // times ascend
  std::vector<IonosphereBias> biases;
  std::uint64_t maps_left_out = 0;  // of heights; errors without a map
};

// Vertical electron content by time and place: bilinear between the nodes,
// linear in time between two neighbouring maps that are at most four hours
// apart, both turned with the Sun (map of time T is read at longitude
// lon + 360 deg * (t - T) / 24 h). Maps that do not go around the Earth are
// not turned. Between the last row of latitude and a pole less than a step away
// the value of that row is taken. A product with maps on both sides answers
// first, in the order of adding; then neighbouring maps of different products.
// A node without a value, places outside the grid, and times outside give
// nothing.
//
//   accuracy  of the interpolation alone, maps left out and met by their
//             neighbours: 0.5 TECU rms over two hours of a quiet day, 4 TECU
//             over four hours of an active one (test IonexReader.*); that of
//             the maps themselves is 2 to 8 TECU (from memory)
//   source    "IONEX: The IONosphere Map EXchange Format Version 1" (1998),
//             interpolation between consecutive rotated maps: from memory
//   threads   the const functions may be called from several at once
class IonosphereMaps {
 public:
  // Takes the maps of the product.
  //
  //   errors   kNoData without maps; kBadFormat for a grid without nodes or a
  //            map of another size, and times that do not ascend; kMixedInput
  //            for another shell than that of the products before. The product
  //            is then left out
  Status add(IonosphereProduct product);

  // [TECU] at a point of the shell. lat_rad is geocentric, lon_rad any turn.
  [[nodiscard]] std::optional<double> vertical_tec(GnssTime t,
                                                   double lat_rad,
                                                   double lon_rad) const;
  // One sigma of it as the product's maps of errors say [TECU].
  [[nodiscard]] std::optional<double> vertical_tec_rms(GnssTime t,
                                                       double lat_rad,
                                                       double lon_rad) const;

  // Of the first product; nothing before one is added.
  [[nodiscard]] std::optional<IonosphereShell> shell() const;
  [[nodiscard]] std::optional<GnssTime> first() const;
  [[nodiscard]] std::optional<GnssTime> last() const;

 private:
  using Values = std::vector<float> IonosphereMap::*;
  struct Place {
    GnssTime time;
    double lat_rad = 0, lon_rad = 0;
  };
  static std::optional<double> on_map(const IonosphereProduct& product,
                                      const IonosphereMap& map,
                                      Values values,
                                      const Place& at);
  [[nodiscard]] std::optional<double> value(Values values,
                                            const Place& at) const;

  std::vector<IonosphereProduct> products_;
};

}  // namespace stillpoint
