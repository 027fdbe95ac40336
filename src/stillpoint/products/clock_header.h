// Header lines of clock files. Inside products only.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/aids/precise_clocks.h"
#include "stillpoint/core/result.h"

namespace stillpoint::products {

// Takes the header line by line.
class ClockHeader {
 public:
  //   errors   kBadHeader, kUnsupported (version); without a place
  Status take(std::string_view line, ClockProduct& product);
  [[nodiscard]] bool ended() const { return ended_; }
  // How much further right than in version 3.00 names end and labels begin: 0
  // or 5 columns.
  [[nodiscard]] std::size_t shift() const { return shift_; }

 private:
  void take_comment(std::string_view text, ClockProduct& product);
  Status take_first(std::string_view line, ClockProduct& product);

  bool started_ = false, ended_ = false;
  std::size_t shift_ = 0;
  // Comments that look like wide-lane biases, until the scale is known.
  std::vector<std::string> pending_;
};

// The order in which series are kept and written: satellites, then stations.
bool is_before(const ClockSeries& a, const ClockSeries& b);

}  // namespace stillpoint::products
