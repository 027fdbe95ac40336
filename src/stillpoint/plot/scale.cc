#include "stillpoint/plot/scale.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>

#include "stillpoint/core/check.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::plot {
namespace {

constexpr double kDay = 86'400;
// Whole multiples found by division may come out short by rounding.
constexpr double kSlack = 1e-9;

double next_of(double value, std::initializer_list<double> digits) {
  STILLPOINT_CHECK(value > 0 && std::isfinite(value));
  double power = std::pow(10, std::floor(std::log10(value)));
  for (const double digit : digits) {
    if (digit * power >= value * (1 - kSlack)) {
      return digit * power;
    }
  }
  return 10 * power;
}

double time_step(double least_s) {
  constexpr std::array<double, 14> kSteps{60,
                                          120,
                                          300,
                                          600,
                                          900,
                                          1800,
                                          3600,
                                          7200,
                                          10'800,
                                          14'400,
                                          21'600,
                                          43'200,
                                          kDay,
                                          2 * kDay};
  const auto* const step = std::ranges::lower_bound(kSteps, least_s);
  return step != kSteps.end() ? *step
                              : kDay * next_of(least_s / kDay, {1, 2, 5});
}

std::string clock_label(GnssTime t, double seconds_of_utc) {
  const double in_day =
      seconds_of_utc - std::floor(seconds_of_utc / kDay) * kDay;
  if (in_day < 1 && seconds_of_utc > 1) {
    // A second later: safe against the rounding of the tick.
    const Calendar day = to_calendar(t + Duration{1}, TimeScale::kUtc);
    return fmt::format("{:02}-{:02}", day.month, day.day);
  }
  const auto minutes = static_cast<int>(std::lround(in_day / 60));
  return fmt::format("{:02}:{:02}", minutes / 60, minutes % 60);
}

std::string number_label(double value, int decimals) {
  std::string text = fmt::format("{:.{}f}", std::abs(value), decimals);
  const bool zero = text.find_first_of("123456789") == std::string::npos;
  if (value < 0 && !zero) {
    text.insert(0, "\u2212");
  }
  return text;
}

// How many multiples of a step a range holds.
double multiples(double low, double high, double step) {
  return std::floor(high / step + kSlack) - std::ceil(low / step - kSlack) + 1;
}

}  // namespace

Axis time_axis(GnssTime first, GnssTime last) {
  const Calendar day = to_calendar(first, TimeScale::kUtc);
  return {.label = fmt::format(
              "time UTC, from {}-{:02}-{:02}", day.year, day.month, day.day),
          .low = 0,
          .high = first < last ? (last - first).s : 60,
          .origin = first};
}

Ticks number_ticks(double low, double high, int most) {
  STILLPOINT_CHECK(low < high && most >= 2);
  double step = next_of((high - low) / (most + 1), {1, 2, 5});
  while (multiples(low, high, step) > most) {
    step = next_of(1.5 * step, {1, 2, 5});
  }
  const int decimals = std::clamp(
      static_cast<int>(-std::floor(std::log10(step) + kSlack)), 0, 12);
  const auto count = static_cast<int>(multiples(low, high, step));
  Ticks out;
  const double first = std::ceil(low / step - kSlack);
  for (int i = 0; i < count; ++i) {
    const double k = first + i;
    out.at.push_back(std::clamp(k * step, low, high));
    out.labels.push_back(number_label(k * step, decimals));
  }
  return out;
}

Ticks time_ticks(GnssTime origin, double low_s, double high_s, int most) {
  STILLPOINT_CHECK(low_s < high_s && most >= 2);
  const Calendar c = to_calendar(origin, TimeScale::kUtc);
  const double of_day = c.hour * 3600.0 + c.minute * 60.0 + c.second;
  double step = time_step((high_s - low_s) / (most + 1));
  while (multiples(low_s + of_day, high_s + of_day, step) > most) {
    step = time_step(1.25 * step);
  }
  const auto count =
      static_cast<int>(multiples(low_s + of_day, high_s + of_day, step));
  Ticks out;
  const double first = std::ceil((low_s + of_day) / step - kSlack);
  for (int i = 0; i < count; ++i) {
    const double k = first + i;
    const double at = k * step - of_day;
    out.at.push_back(std::clamp(at, low_s, high_s));
    out.labels.push_back(clock_label(origin + Duration{at}, k * step));
  }
  return out;
}

Ticks ticks(const Axis& axis, int most) {
  return axis.origin ? time_ticks(*axis.origin, axis.low, axis.high, most)
                     : number_ticks(axis.low, axis.high, most);
}

double round_up(double value) {
  return next_of(value, {1, 2, 3, 4, 5, 6, 8});
}

}  // namespace stillpoint::plot
