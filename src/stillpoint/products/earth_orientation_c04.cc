#include <algorithm>
#include <cmath>
#include <iterator>

#include "stillpoint/core/text.h"
#include "stillpoint/products/earth_orientation_parts.h"
#include "stillpoint/products/sp3_fields.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::products {
namespace {

// Columns of the two forms of C04 text.
struct C04Field {
  OrientationItem item;
  std::size_t from, to;
};
constexpr C04Field kC04Of14[] = {{kMjd, 12, 19},
                                 {kX, 19, 30},
                                 {kY, 30, 41},
                                 {kUt1, 41, 53},
                                 {kLod, 53, 65},
                                 {kXSigma, 87, 98},
                                 {kYSigma, 98, 109},
                                 {kUt1Sigma, 109, 120}};
constexpr C04Field kC04Of20[] = {{kMjd, 16, 26},
                                 {kX, 26, 38},
                                 {kY, 38, 50},
                                 {kUt1, 50, 62},
                                 {kXRate, 86, 98},
                                 {kYRate, 98, 110},
                                 {kLod, 110, 122},
                                 {kXSigma, 122, 134},
                                 {kYSigma, 134, 146},
                                 {kUt1Sigma, 146, 158}};
constexpr std::size_t kLeastLengthOf14 = 155;
constexpr std::size_t kLeastLengthOf20 = 122;

bool is_c04_row(std::string_view line) {
  constexpr std::size_t kYear = 4;
  const std::string_view year = columns(line, 0, kYear);
  return year.size() == kYear && column(line, 0, kYear) == year &&
         to_integer(year) && to_integer(column(line, 4, 8)) &&
         to_integer(column(line, 8, 12));
}

}  // namespace

Status EarthOrientationReader::take_c04(std::string_view line) {
  // The MJD of the older form stands where the hour of the other ends.
  constexpr int kFourDigits = 9'999;
  const bool old = to_integer(column(line, 12, 19)).value_or(0) > kFourDigits;
  const std::string_view series = old ? "C04 14" : "C04 20";
  if (product_.series.empty()) {
    product_.series = series;
  }
  const std::size_t length = trim_right(line).size();
  if (!is_c04_row(line) || product_.series != series ||
      length < (old ? kLeastLengthOf14 : kLeastLengthOf20)) {
    return bad("the line is no row of the series " + product_.series);
  }
  OrientationValues values = no_values();
  const auto take = [&](const C04Field& field) {
    const std::string_view text = column(line, field.from, field.to);
    const auto number = to_number(text);
    values[field.item] = number.value_or(EarthOrientationRow::kNone);
    return number || (text.empty() && field.from >= kLeastLengthOf20);
  };
  if (!(old ? std::all_of(std::begin(kC04Of14), std::end(kC04Of14), take)
            : std::all_of(std::begin(kC04Of20), std::end(kC04Of20), take))) {
    return bad("the row holds something that is not a number");
  }
  const int hour = old ? 0 : to_integer(column(line, 12, 16)).value_or(-1);
  const auto date = from_calendar(Calendar{*to_integer(column(line, 0, 4)),
                                           *to_integer(column(line, 4, 8)),
                                           *to_integer(column(line, 8, 12)),
                                           hour,
                                           0,
                                           0},
                                  TimeScale::kUtc);
  // F10.2 of a day.
  constexpr double kRoundingDays = 0.0051;
  if (!date ||
      std::abs(to_mjd(*date, TimeScale::kUtc) - values[kMjd]) > kRoundingDays) {
    return bad("date and MJD of the row do not agree");
  }
  values[kMjd] = to_mjd(*date, TimeScale::kUtc);
  return store(values);
}

Status EarthOrientationReader::read_c04(std::string_view line) {
  for (int count = 0; !is_c04_row(line); ++count) {
    const auto more = next(line);
    if (!more) {
      return fail(more.error());
    }
    if (!*more || count >= kMaxOrientationHeaderLines) {
      return bad_head("no table of Earth orientation in a form known here");
    }
  }
  for (;;) {
    if (!line.starts_with('#')) {
      if (auto taken = take_c04(line); !taken) {
        return taken;
      }
    }
    const auto more = next(line);
    if (!more) {
      return fail(more.error());
    }
    if (!*more) {
      return ok();
    }
  }
}

}  // namespace stillpoint::products
