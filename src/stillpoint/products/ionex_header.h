// The header of an ionosphere file, line by line. Inside products only.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

#include "stillpoint/aids/ionosphere_maps.h"
#include "stillpoint/core/result.h"

namespace stillpoint::products {

// The label of a line, without blanks.
std::string_view ionex_label(std::string_view line);

// "87.5 -87.5  -2.5": from, to, step, in degrees or kilometres.
struct IonexRange {
  double from = 0, to = 0, step = 0;
};
// Three numbers of six columns from column 2 on.
std::optional<IonexRange> to_ionex_range(std::string_view line);

// A power of ten in the first six columns.
std::optional<int> to_ionex_exponent(std::string_view line);

// Errors are without their place.
class IonexHeader {
 public:
  static constexpr double kDegNoise = 1e-3;  // angles are printed to 0.1

  static Status take_first(std::string_view line, IonosphereProduct& product);
  Status take(std::string_view line, IonosphereProduct& product);
  // Checks what must be there and sets the grid.
  Status finish(IonosphereProduct& product) const;

  // After finish().
  [[nodiscard]] const IonexRange& latitude() const { return *latitude_; }
  [[nodiscard]] const IonexRange& longitude() const { return *longitude_; }
  [[nodiscard]] int exponent() const { return exponent_; }

 private:
  static Status take_bias(std::string_view line,
                          bool satellite,
                          IonosphereProduct& product);

  std::optional<IonexRange> latitude_, longitude_, height_;
  bool radius_ = false, biases_open_ = false;
  int exponent_ = -1;
};

}  // namespace stillpoint::products
