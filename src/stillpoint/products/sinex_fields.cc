#include "stillpoint/products/sinex_fields.h"

#include "stillpoint/core/text.h"
#include "stillpoint/products/sp3_fields.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::products {
namespace {

constexpr std::size_t kShortInstant = 12, kLongInstant = 14;
constexpr int kDayS = 86'400;

}  // namespace

std::optional<SinexInstant> to_sinex_instant(std::string_view text) {
  if (text.size() != kShortInstant && text.size() != kLongInstant) {
    return std::nullopt;
  }
  const std::size_t digits = text.size() - 10;  // of the year
  if (text[digits] != ':' || text[digits + 4] != ':') {
    return std::nullopt;
  }
  const auto year_read = to_integer(text.substr(0, digits));
  const auto day = to_integer(text.substr(digits + 1, 3));
  const auto second = to_integer(text.substr(digits + 5, 5));
  if (!year_read || !day || !second || *year_read < 0 || *day < 0 ||
      *second < 0 || *second > kDayS) {
    return std::nullopt;
  }
  if (*year_read == 0 && *day == 0 && *second == 0) {
    return SinexInstant{};
  }
  int year = *year_read;
  if (digits == 2) {
    constexpr int kLastOf2000 = 50;
    year += year <= kLastOf2000 ? 2000 : 1900;
  }
  // GPST has no leap seconds: there the days of a year can be counted.
  const auto new_year = from_calendar({year, 1, 1, 0, 0, 0}, TimeScale::kGps);
  if (!new_year || *day < 1) {
    return std::nullopt;
  }
  const Calendar date =
      to_calendar(*new_year + Duration{static_cast<double>(*day - 1) * kDayS},
                  TimeScale::kGps);
  const auto midnight = from_calendar(date, TimeScale::kUtc);
  if (date.year != year || !midnight) {
    return std::nullopt;
  }
  return SinexInstant{*midnight + Duration{static_cast<double>(*second)}};
}

std::string_view SinexLine::text(std::size_t from, std::size_t to) const {
  return column(line_, from + moved_, to + moved_);
}

std::string_view SinexLine::left(std::size_t from, std::size_t to) const {
  return trim_right(columns(line_, from + moved_, to - from));
}

std::optional<SinexInstant> SinexLine::instant(std::size_t from) {
  const std::size_t at = from + moved_;
  const bool four_digits = line_.size() > at + 4 && line_[at + 4] == ':';
  const std::size_t length = four_digits ? kLongInstant : kShortInstant;
  moved_ += length - kShortInstant;
  return to_sinex_instant(column(line_, at, at + length));
}

void SinexLine::site(SiteSpan& into) const {
  into.site = text(1, 5);
  into.point = text(6, 8);
  into.solution = text(9, 13);
}

bool SinexLine::span(std::size_t from,
                     std::optional<GnssTime>& begin,
                     std::optional<GnssTime>& end) {
  const auto first = instant(from);
  const auto last = instant(from + kShortInstant + 1);
  if (!first || !last ||
      (first->time && last->time && *last->time < *first->time)) {
    return false;
  }
  begin = first->time;
  end = last->time;
  return true;
}

}  // namespace stillpoint::products
