#include "stillpoint/products/sp3_fields.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstdint>
#include <iterator>

namespace stillpoint::products {

std::string_view column(std::string_view line,
                        std::size_t from,
                        std::size_t to) {
  if (line.size() <= from) {
    return {};
  }
  std::string_view text = line.substr(from, to - from);
  const std::size_t begin = text.find_first_not_of(' ');
  if (begin == std::string_view::npos) {
    return {};
  }
  return text.substr(begin, text.find_last_not_of(' ') + 1 - begin);
}

namespace {

// Numbers of at most 15 digits are whole numbers divided by a power of ten,
// both exact, so that the quotient is the nearest double as from_chars gives
// it, in a fifth of the time.
std::optional<double> to_short_number(std::string_view text) {
  constexpr double kPowers[] = {1e0,
                                1e1,
                                1e2,
                                1e3,
                                1e4,
                                1e5,
                                1e6,
                                1e7,
                                1e8,
                                1e9,
                                1e10,
                                1e11,
                                1e12,
                                1e13,
                                1e14,
                                1e15};
  const bool negative = text.starts_with('-');
  if (negative) {
    text.remove_prefix(1);
  }
  std::int64_t digits = 0;
  std::size_t decimals = 0;
  bool point = false;
  for (const char c : text) {
    if (c >= '0' && c <= '9') {
      digits = digits * 10 + (c - '0');
      decimals += point ? 1U : 0U;
    } else if (c == '.' && !point) {
      point = true;
    } else {
      return std::nullopt;
    }
  }
  const std::size_t count = text.size() - (point ? 1U : 0U);
  if (count == 0) {
    return std::nullopt;
  }
  const double value = static_cast<double>(digits) / kPowers[decimals];
  return negative ? -value : value;
}

}  // namespace

std::optional<double> to_number(std::string_view text) {
  constexpr std::size_t kShort = 15;
  if (text.size() <= kShort) {
    if (const auto value = to_short_number(text)) {
      return value;
    }
  }
  if (text.size() > 1 && text[0] == '+' && text[1] != '-') {
    text.remove_prefix(1);
  }
  double value = 0;
  const char* const end = text.data() + text.size();
  const auto [stop, error] =
      std::from_chars(text.data(), end, value, std::chars_format::fixed);
  if (error != std::errc() || stop != end || !std::isfinite(value)) {
    return std::nullopt;
  }
  return value;
}

std::optional<int> to_integer(std::string_view text) {
  int value = 0;
  const char* const end = text.data() + text.size();
  const auto [stop, error] = std::from_chars(text.data(), end, value);
  if (error != std::errc() || stop != end) {
    return std::nullopt;
  }
  return value;
}

std::optional<Calendar> to_epoch(std::string_view line) {
  const auto year = to_integer(column(line, 3, 7));
  const auto month = to_integer(column(line, 8, 10));
  const auto day = to_integer(column(line, 11, 13));
  const auto hour = to_integer(column(line, 14, 16));
  const auto minute = to_integer(column(line, 17, 19));
  const auto second = to_number(column(line, 20, 31));
  if (!year || !month || !day || !hour || !minute || !second) {
    return std::nullopt;
  }
  return Calendar{*year, *month, *day, *hour, *minute, *second};
}

std::optional<TimeScale> to_time_scale(std::string_view text) {
  struct Row {
    std::string_view name;
    TimeScale scale;
  };
  constexpr Row kRows[] = {{"GPS", TimeScale::kGps},
                           {"ccc", TimeScale::kGps},
                           {"", TimeScale::kGps},
                           {"GLO", TimeScale::kGlonass},
                           {"GAL", TimeScale::kGalileo},
                           {"BDT", TimeScale::kBeidou},
                           {"BDS", TimeScale::kBeidou},
                           {"QZS", TimeScale::kQzss},
                           {"IRN", TimeScale::kGps},  // IRNWT is kept to GPST
                           {"TAI", TimeScale::kTai},
                           {"UTC", TimeScale::kUtc}};
  const auto* const found =
      std::find_if(std::begin(kRows), std::end(kRows), [text](const Row& row) {
        return row.name == text;
      });
  if (found == std::end(kRows)) {
    return std::nullopt;
  }
  return found->scale;
}

}  // namespace stillpoint::products
