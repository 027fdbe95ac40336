// Times as people and JSON write them.
#include <array>
#include <charconv>
#include <cstdio>
#include <optional>

#include "stillpoint/time/scales.h"

namespace stillpoint {
namespace {

std::string format_reading(GnssTime t, TimeScale scale) {
  const Calendar c = to_calendar(t, scale);
  const std::int64_t ns = std::llround(c.second * 1e9);
  std::array<char, 48> text{};
  std::snprintf(text.data(),
                text.size(),
                "%04d-%02d-%02dT%02d:%02d:%02d",
                c.year,
                c.month,
                c.day,
                c.hour,
                c.minute,
                static_cast<int>(ns / GnssTime::kNsPerS));
  std::string out = text.data();
  if (const auto fraction = static_cast<int>(ns % GnssTime::kNsPerS)) {
    std::snprintf(text.data(), text.size(), ".%09d", fraction);
    out += text.data();
    out.erase(out.find_last_not_of('0') + 1);
  }
  return out;
}

// Reads a text from the left; every take_ says whether it was there.
class Cursor {
 public:
  explicit Cursor(std::string_view text) : rest_(text) {}
  [[nodiscard]] bool at_end() const { return rest_.empty(); }

  bool take(char c) {
    if (rest_.empty() || rest_.front() != c) {
      return false;
    }
    rest_.remove_prefix(1);
    return true;
  }
  // Exactly `digits` decimal digits.
  bool take_number(std::size_t digits, int& value) {
    if (rest_.size() < digits) {
      return false;
    }
    int sum = 0;
    for (std::size_t i = 0; i < digits; ++i) {
      if (!is_digit(rest_[i])) {
        return false;
      }
      sum = sum * 10 + (rest_[i] - '0');
    }
    rest_.remove_prefix(digits);
    value = sum;
    return true;
  }
  // One or more digits after the decimal point; what is below 1 ns is cut.
  bool take_fraction_ns(std::int64_t& ns) {
    std::int64_t unit = 100'000'000;
    ns = 0;
    std::size_t n = 0;
    for (; n < rest_.size() && is_digit(rest_[n]); ++n, unit /= 10) {
      ns += unit * (rest_[n] - '0');
    }
    rest_.remove_prefix(n);
    return n > 0;
  }

 private:
  static bool is_digit(char c) { return c >= '0' && c <= '9'; }
  std::string_view rest_;
};

// The suffix: nothing is GPST, "Z" or "+hh:mm" is UTC.
struct Suffix {
  TimeScale scale = TimeScale::kGps;
  int ahead_of_utc_min = 0;
};

std::optional<Suffix> take_suffix(Cursor& in) {
  if (in.at_end()) {
    return Suffix{};
  }
  if (in.take('Z') || in.take('z')) {
    return Suffix{TimeScale::kUtc, 0};
  }
  const bool minus = in.take('-');
  if (!minus && !in.take('+')) {
    return std::nullopt;
  }
  int hour = 0;
  int minute = 0;
  if (!in.take_number(2, hour) || !in.take(':') || !in.take_number(2, minute) ||
      hour > 23 || minute > 59) {
    return std::nullopt;
  }
  const int ahead = hour * 60 + minute;
  return Suffix{TimeScale::kUtc, minus ? -ahead : ahead};
}

// A local reading carried to UTC by its offset, in whole minutes, so that a
// leap second stays the 61st second of its minute.
Result<Calendar> without_offset(Calendar c, int ahead_of_utc_min) {
  Calendar minute = c;
  minute.second = 0;
  // On a continuous scale: minutes are only counted here.
  auto start = from_calendar(minute, TimeScale::kGps);
  if (!start) {
    return fail(std::move(start.error()));
  }
  Calendar utc =
      to_calendar(*start - Duration{ahead_of_utc_min * 60.0}, TimeScale::kGps);
  utc.second = c.second;
  return utc;
}

tl::unexpected<Error> not_a_time(std::string_view text,
                                 const std::string& why = {}) {
  return fail(ErrorCode::kUsage,
              "'" + std::string(text) + "' is not a time" +
                  (why.empty() ? "" : ": " + why),
              {},
              "write 2020-06-25T12:00:00Z (UTC), 2020-06-25T12:00:00 or "
              "2020-06-25 (GPST), or a decimal year such as 2024.9");
}

// "2024.9", also "2024"; nothing else.
std::optional<double> decimal_year_text(std::string_view text) {
  Cursor in(text);
  int year = 0;
  std::int64_t unused_ns = 0;
  if (!in.take_number(4, year) ||
      (!in.at_end() && (!in.take('.') || !in.take_fraction_ns(unused_ns))) ||
      !in.at_end()) {
    return std::nullopt;
  }
  double value = 0;
  std::from_chars(text.data(), text.data() + text.size(), value);
  return value;
}

}  // namespace

std::string format_utc(GnssTime t) {
  return format_reading(t, TimeScale::kUtc) + "Z";
}

std::string format_gpst(GnssTime t) {
  return format_reading(t, TimeScale::kGps);
}

Result<GnssTime> parse_time(std::string_view text) {
  if (const auto year = decimal_year_text(text)) {
    if (*year < 1900 || *year > 2200) {
      return not_a_time(text, "the year is outside 1900 .. 2200");
    }
    return from_decimal_year(*year);
  }
  Cursor in(text);
  Calendar c;
  if (!in.take_number(4, c.year) || !in.take('-') ||
      !in.take_number(2, c.month) || !in.take('-') ||
      !in.take_number(2, c.day)) {
    return not_a_time(text);
  }
  Suffix suffix;
  std::int64_t fraction_ns = 0;
  c.hour = 0;
  if (!in.at_end()) {
    int second = 0;
    if ((!in.take('T') && !in.take('t')) || !in.take_number(2, c.hour) ||
        !in.take(':') || !in.take_number(2, c.minute) || !in.take(':') ||
        !in.take_number(2, second) ||
        (in.take('.') && !in.take_fraction_ns(fraction_ns))) {
      return not_a_time(text);
    }
    const auto found = take_suffix(in);
    if (!found || !in.at_end()) {
      return not_a_time(text);
    }
    suffix = *found;
    c.second = second;
  }
  if (suffix.ahead_of_utc_min != 0) {
    auto utc = without_offset(c, suffix.ahead_of_utc_min);
    if (!utc) {
      return not_a_time(text, utc.error().what);
    }
    c = *utc;
  }
  const auto t = from_calendar(c, suffix.scale);
  if (!t) {
    return not_a_time(text, t.error().what);
  }
  return GnssTime::from_ns(t->ns() + fraction_ns);
}

}  // namespace stillpoint
