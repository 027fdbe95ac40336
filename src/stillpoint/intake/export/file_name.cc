#include "stillpoint/intake/export/file_name.h"

#include <fmt/format.h>

#include <array>
#include <cctype>
#include <cmath>

#include "stillpoint/time/scales.h"

namespace stillpoint::intake {
namespace {

constexpr std::int64_t kMinuteNs = 60 * GnssTime::kNsPerS;
constexpr std::int64_t kHourNs = 60 * kMinuteNs;
constexpr std::int64_t kDayNs = 24 * kHourNs;
constexpr int kMostDigits = 99;

struct Unit {
  char letter;
  std::int64_t ns;
};
constexpr std::array<Unit, 3> kUnits = {
    {{'D', kDayNs}, {'H', kHourNs}, {'M', kMinuteNs}}};

std::int64_t ceiling(std::int64_t ns, std::int64_t step) {
  return (ns + step - 1) / step;
}

}  // namespace

std::string period_code(const Period& period) {
  const std::int64_t ns = period.end.ns() - period.start.ns();
  for (const Unit& unit : kUnits) {
    if (ns % unit.ns == 0 && ns / unit.ns <= kMostDigits) {
      return fmt::format("{:02}{}", ns / unit.ns, unit.letter);
    }
  }
  for (auto unit = kUnits.rbegin(); unit != kUnits.rend(); ++unit) {
    if (ceiling(ns, unit->ns) <= kMostDigits) {
      return fmt::format("{:02}{}", ceiling(ns, unit->ns), unit->letter);
    }
  }
  return "00U";
}

namespace {

std::string long_name(const FileNaming& naming, const Period& period) {
  const Calendar c = to_calendar(period.start, TimeScale::kGps);
  return fmt::format("{}_{}_{:04}{:03}{:02}{:02}_{}",
                     naming.station,
                     naming.source,
                     c.year,
                     day_of_year(c),
                     c.hour,
                     c.minute,
                     period_code(period));
}

bool begins_at(const Period& period, std::int64_t step) {
  return period.start.ns() % step == 0;
}

// Up to the type's letter.
std::string short_name(const FileNaming& naming, const Period& period) {
  const Calendar c = to_calendar(period.start, TimeScale::kGps);
  const std::int64_t ns = period.end.ns() - period.start.ns();
  std::string name;
  for (const char letter : naming.station.substr(0, 4)) {
    name += static_cast<char>(std::tolower(static_cast<unsigned char>(letter)));
  }
  name += fmt::format("{:03}", day_of_year(c));
  if (ns == kDayNs && begins_at(period, kDayNs)) {
    name += '0';
  } else {
    name += static_cast<char>('a' + c.hour);
    if (ns != kHourNs || !begins_at(period, kHourNs)) {
      name += fmt::format("{:02}", c.minute);
    }
  }
  return fmt::format("{}.{:02}", name, c.year % 100);
}

const char* packed(const FileNaming& naming) {
  return naming.gzip ? ".gz" : "";
}

}  // namespace

std::string frequency_code(std::optional<double> interval_s) {
  if (!interval_s || !(*interval_s > 0)) {
    return "00U";
  }
  const auto ns = std::llround(*interval_s * 1e9);
  for (const Unit& unit : std::array<Unit, 4>{{{'D', kDayNs},
                                               {'H', kHourNs},
                                               {'M', kMinuteNs},
                                               {'S', GnssTime::kNsPerS}}}) {
    if (ns % unit.ns == 0 && ns / unit.ns <= kMostDigits) {
      return fmt::format("{:02}{}", ns / unit.ns, unit.letter);
    }
  }
  const double hertz = 1 / *interval_s;
  for (const auto& [letter, times] :
       std::array<std::pair<char, double>, 2>{{{'Z', 1.0}, {'C', 100.0}}}) {
    const auto count = std::llround(hertz / times);
    const double off = std::abs(hertz / times - static_cast<double>(count));
    if (count >= 1 && count <= kMostDigits && off < 1e-6) {
      return fmt::format("{:02}{}", count, letter);
    }
  }
  return "00U";
}

std::string observation_file_name(const FileNaming& naming,
                                  const Period& period,
                                  std::optional<double> interval_s) {
  if (naming.version == rinex::Version::k211) {
    return short_name(naming, period) + (naming.hatanaka ? "d" : "o") +
           packed(naming);
  }
  return fmt::format("{}_{}_MO.{}{}",
                     long_name(naming, period),
                     frequency_code(interval_s),
                     naming.hatanaka ? "crx" : "rnx",
                     packed(naming));
}

std::string navigation_file_name(const FileNaming& naming,
                                 const Period& period,
                                 std::optional<System> only) {
  if (naming.version == rinex::Version::k211) {
    const char letter = only == System::kGlonass ? 'g'
                        : only == System::kSbas  ? 'h'
                                                 : 'n';
    return short_name(naming, period) + letter + packed(naming);
  }
  return long_name(naming, period) + "_MN.rnx" + packed(naming);
}

}  // namespace stillpoint::intake
