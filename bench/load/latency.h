// Times of one phase and what is said of them.
#pragma once

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <string>
#include <vector>

namespace stillpoint::bench {

class Latencies {
 public:
  void add(std::int64_t ns) { ns_.push_back(ns); }

  // The smallest value that `share` of all do not exceed.
  [[nodiscard]] double ms(double share) {
    if (ns_.empty()) {
      return 0;
    }
    const double rank = std::ceil(share * static_cast<double>(ns_.size()));
    const auto at = static_cast<std::size_t>(std::max(rank, 1.0)) - 1;
    std::nth_element(
        ns_.begin(), ns_.begin() + static_cast<std::ptrdiff_t>(at), ns_.end());
    return 1e-6 * static_cast<double>(ns_[at]);
  }
  [[nodiscard]] std::string json() {
    return fmt::format(
        R"({{"samples":{},"p50_ms":{:.3f},"p99_ms":{:.3f},"max_ms":{:.3f}}})",
        ns_.size(),
        ms(0.5),
        ms(0.99),
        ms(1));
  }

 private:
  std::vector<std::int64_t> ns_;
};

}  // namespace stillpoint::bench
