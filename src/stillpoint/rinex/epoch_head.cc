#include "stillpoint/rinex/epoch_head.h"

#include <cmath>

#include "stillpoint/rinex/field_text.h"

namespace stillpoint::rinex {
namespace {

// Columns from the month on are the same in versions 2 and 3, apart from where
// they begin: month 0, day 3, hour 6, minute 9, second 11 (F11.7).
constexpr std::size_t kSecond = 11, kSecondWidth = 11;

// F11.7 seconds to nanoseconds, -1 for other text.
std::int64_t seconds_to_ns(const char* p) {
  // "  0.0000000": one to three digits, the point in column 3.
  const int whole = field::two_digits(p + 1);
  bool good = whole >= 0 && p[0] == ' ' && p[3] == '.';
  std::int64_t decimals = 0;
  for (int i = 4; i < 11; ++i) {
    good = good && p[i] >= '0' && p[i] <= '9';
    decimals = decimals * 10 + (p[i] - '0');
  }
  if (good) {
    return whole * GnssTime::kNsPerS + decimals * 100;
  }
  const auto value = field::real(std::string_view(p, kSecondWidth));
  if (!value || *value < 0 || *value >= 61) {
    return -1;
  }
  return std::llround(*value * 1e9);
}

int full_year(int two_digits) {
  return two_digits < 0 ? -1 : two_digits + (two_digits >= 80 ? 1900 : 2000);
}

bool is_blank(std::string_view text) {
  return text.find_first_not_of(' ') == std::string_view::npos;
}

int small_number(std::string_view text) {
  const auto value = field::integer(text);
  return value && *value >= 0 && *value <= 999 ? *value : -1;
}

}  // namespace

void EpochHeadParser::set_scale(TimeScale scale) {
  scale_ = scale;
  year_ = 0;
}

bool EpochHeadParser::may_open(std::string_view line) const {
  if (!is_version2()) {
    return !line.empty() && line[0] == '>';
  }
  if (line.size() < 30 || line[0] != ' ') {
    return false;
  }
  const bool dated = line[3] == ' ' && line[6] == ' ' && line[9] == ' ' &&
                     line[12] == ' ' && line[15] == ' ' && line[18] == '.' &&
                     line[26] == ' ' && line[27] == ' ';
  const bool undated =
      is_blank(line.substr(0, 28)) && line[28] >= '2' && line[28] <= '5';
  return dated || undated;
}

const char* EpochHeadParser::parse_time(std::string_view line,
                                        std::size_t first,
                                        int year,
                                        std::optional<GnssTime>& time) {
  const char* p = line.data() + first;
  const int month = field::two_digits(p);
  const int day = field::two_digits(p + 3);
  const int hour = field::two_digits(p + 6);
  const int minute = field::two_digits(p + 9);
  const std::int64_t second_ns = seconds_to_ns(p + kSecond);
  if (year < 0 || month < 0 || day < 0 || hour < 0 || hour > 23 || minute < 0 ||
      minute > 59 || second_ns < 0) {
    return "the epoch's date cannot be read";
  }
  if (year != year_ || month != month_ || day != day_) {
    const auto start =
        from_calendar(Calendar{year, month, day, 0, 0, 0}, scale_);
    if (!start) {
      return "the epoch's date does not exist";
    }
    year_ = year;
    month_ = month;
    day_ = day;
    day_start_ns_ = start->ns();
  }
  if (second_ns >= 60 * GnssTime::kNsPerS) {
    // Only inside a leap second of UTC: the calendar knows which.
    const double second_s = static_cast<double>(second_ns) * 1e-9;
    if (!from_calendar(Calendar{year, month, day, hour, minute, second_s},
                       scale_)) {
      return "the epoch's date does not exist";
    }
  }
  const std::int64_t minutes = hour * 60 + minute;
  time = GnssTime::from_ns(day_start_ns_ + minutes * 60 * GnssTime::kNsPerS +
                           second_ns);
  return nullptr;
}

const char* EpochHeadParser::parse(std::string_view line,
                                   bool with_clock,
                                   EpochHead& head) {
  head = {};
  const bool old = is_version2();
  const std::size_t flag_column = old ? 28 : 31;
  if (line.size() < flag_column + 2) {
    return "the epoch line is too short";
  }
  if (!may_open(line)) {
    return "not an epoch line";
  }
  head.flag = line[flag_column] == ' ' ? 0 : line[flag_column] - '0';
  if (head.flag < 0 || head.flag > 6) {
    return "the epoch flag is not 0 to 6";
  }
  const auto count = field::part(line, flag_column + 1, 3);
  head.count = is_blank(count) ? 0 : small_number(count);
  if (head.count < 0) {
    return "the number of satellites cannot be read";
  }
  const std::size_t month_column = old ? 4 : 7;
  if (head.is_event() && is_blank(line.substr(1, flag_column - 1))) {
    return nullptr;
  }
  int year = -1;
  if (old) {
    year = full_year(field::two_digits(line.data() + 1));
  } else {
    year = field::integer(line.substr(2, 4)).value_or(-1);
  }
  const char* wrong = parse_time(line, month_column, year, head.time);
  if (wrong != nullptr) {
    return wrong;
  }
  if (!with_clock) {
    return nullptr;
  }
  const auto clock =
      old ? field::part(line, 68, 12) : field::part(line, 41, 15);
  if (!is_blank(clock)) {
    head.clock_s = field::real(clock);
    if (!head.clock_s) {
      return "the receiver clock offset cannot be read";
    }
  }
  if (version_ > 4.015) {
    const auto picoseconds = field::part(line, 57, 5);
    if (!is_blank(picoseconds)) {
      const auto value = field::integer(picoseconds);
      if (!value || *value < 0) {
        return "the picoseconds cannot be read";
      }
      head.time = GnssTime::from_ns(head.time->ns() + (*value + 500) / 1000);
    }
  }
  return nullptr;
}

}  // namespace stillpoint::rinex
