#include "stillpoint/quality/strength_bins.h"

namespace stillpoint::quality {
namespace {

constexpr double kHighestDbhz = 80;
constexpr double kStepDbhz = 0.25;
constexpr std::size_t kSteps =
    static_cast<std::size_t>(kHighestDbhz / kStepDbhz) + 1;

// The value that the share p of all values does not exceed. A step stands for
// the values around it, so that whole and half dB come back as they were.
double quantile_dbhz(const std::vector<std::uint32_t>& steps,
                     std::uint64_t count,
                     double p) {
  const double rank = p * static_cast<double>(count);
  std::uint64_t below = 0;
  std::size_t step = 0;
  for (; step + 1 < steps.size(); ++step) {
    below += steps[step];
    if (below > 0 && static_cast<double>(below) >= rank) {
      break;
    }
  }
  return static_cast<double>(step) * kStepDbhz;
}

}  // namespace

void StrengthBins::add(std::size_t place, double cn0_dbhz) {
  if (!(cn0_dbhz >= 0 && cn0_dbhz <= kHighestDbhz)) {
    return;
  }
  Bin& bin = bins_.at(place);
  if (bin.steps.empty()) {
    bin.steps.resize(kSteps);
  }
  ++bin.steps[static_cast<std::size_t>(std::lround(cn0_dbhz / kStepDbhz))];
  bin.sum_dbhz += cn0_dbhz;
  ++bin.count;
}

ByElevation<StrengthFigures> StrengthBins::figures() const {
  ByElevation<StrengthFigures> out;
  for (std::size_t place = 0; place < out.size(); ++place) {
    const Bin& bin = bins_[place];
    if (bin.count == 0) {
      continue;
    }
    out[place] = {.count = bin.count,
                  .mean_dbhz = bin.sum_dbhz / static_cast<double>(bin.count),
                  .p05_dbhz = quantile_dbhz(bin.steps, bin.count, 0.05),
                  .p95_dbhz = quantile_dbhz(bin.steps, bin.count, 0.95)};
  }
  return out;
}

}  // namespace stillpoint::quality
