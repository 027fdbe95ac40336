#include "stillpoint/quality/multipath_arcs.h"

namespace stillpoint::quality {
namespace {

// How far from a multiple of the lag a sample may lie.
constexpr double kLagSlackS = 0.5;

}  // namespace

double multipath_m(double code_m,
                   double phase_m,
                   double frequency_hz,
                   double partner_m,
                   double partner_frequency_hz) {
  const double ratio = frequency_hz / partner_frequency_hz;
  const double k = 2 / (ratio * ratio - 1);
  return code_m - phase_m - k * (phase_m - partner_m);
}

// Common practice, no source.
std::string_view partner_bands(System system, char band) {
  switch (system) {
    case System::kGps:
    case System::kQzss:
      return band == '1' ? "256" : "1";
    case System::kGlonass:
      // 4 and 6 are the CDMA signals near 1 and 2.
      return band == '1' || band == '4' ? "263" : "14";
    case System::kGalileo:
      return band == '1' ? "5786" : "1";
    case System::kBeidou:
      if (band == '1') {
        return "5867";
      }
      return band == '2' ? "6785" : band == '5' || band == '8' ? "12" : "21";
    case System::kSbas:
      return band == '1' ? "5" : "1";
    case System::kNavic:
      return band == '5' ? "91" : "5";
  }
  return {};
}

SquareSum MultipathSums::total() const {
  SquareSum all;
  for (const SquareSum& place : by_elevation) {
    all.add(place);
  }
  return all;
}

std::array<double, kLags> MultipathSums::correlation() const {
  std::array<double, kLags> out{};
  for (std::size_t i = 0; i < kLags; ++i) {
    out[i] = lags[i].squares > 0 ? lags[i].products / lags[i].squares
                                 : std::numeric_limits<double>::quiet_NaN();
  }
  return out;
}

void MultipathArc::add(GnssTime t, std::size_t place, double value_m) {
  if (empty()) {
    first_ = t;
    first_value_m_ = value_m;
  }
  last_ = t;
  const double x = value_m - first_value_m_;
  ++count_;
  sum_ += x;
  Moments& here = places_.at(place);
  ++here.count;
  here.sum += x;
  here.squares += x * x;
  const double since_s = (t - first_).s;
  const auto number = static_cast<std::int64_t>(std::llround(since_s / kLagS));
  if (std::abs(since_s - static_cast<double>(number) * kLagS) <= kLagSlackS) {
    add_lags(number, x);
  }
}

// At one sample per lag, so that files of any rate compare.
void MultipathArc::add_lags(std::int64_t number, double x) {
  const auto slot = [](std::int64_t n) {
    return static_cast<std::size_t>(n) % (kLags + 1);
  };
  Past& own = past_[slot(number)];
  if (own.number == number) {
    return;
  }
  own = {number, x};
  for (std::size_t i = 0; i < kLags; ++i) {
    const std::int64_t before = number - static_cast<std::int64_t>(i) - 1;
    if (before < 0 || past_[slot(before)].number != before) {
      continue;
    }
    const double y = past_[slot(before)].x;
    Lag& lag = lags_[i];
    ++lag.pairs;
    lag.products += x * y;
    lag.sum += (x + y) / 2;
    lag.squares += (x * x + y * y) / 2;
  }
}

void MultipathArc::close(MultipathSums& sums) {
  if (!empty() && count_ >= kLeastCount && (last_ - first_).s >= kLeastS) {
    ++sums.arcs;
    const double mean = sum_ / static_cast<double>(count_);
    const auto about_mean = [mean](
                                double squares, double sum, std::uint64_t n) {
      return squares - 2 * mean * sum + static_cast<double>(n) * mean * mean;
    };
    for (std::size_t i = 0; i < places_.size(); ++i) {
      const Moments& m = places_[i];
      sums.by_elevation[i].add(
          std::max(0.0, about_mean(m.squares, m.sum, m.count)), m.count);
    }
    for (std::size_t i = 0; i < kLags; ++i) {
      const Lag& lag = lags_[i];
      sums.lags[i].pairs += lag.pairs;
      sums.lags[i].products += about_mean(lag.products, lag.sum, lag.pairs);
      sums.lags[i].squares +=
          std::max(0.0, about_mean(lag.squares, lag.sum, lag.pairs));
    }
  } else if (!empty()) {
    ++sums.short_arcs;
  }
  *this = {};
}

}  // namespace stillpoint::quality
