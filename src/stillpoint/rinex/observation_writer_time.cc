#include "stillpoint/rinex/observation_writer_time.h"

#include <array>
#include <utility>

#include "stillpoint/rinex/observation_writer_fields.h"

namespace stillpoint::rinex {
namespace {

constexpr std::int64_t kTickNs = 100;  // of F11.7 seconds
constexpr std::int64_t kTicksPerS = GnssTime::kNsPerS / kTickNs;
constexpr std::int64_t kDayNs = 86'400 * GnssTime::kNsPerS;
constexpr int kSecondWidth = 11;
constexpr int kSecondDecimals = 7;

std::int64_t floor_div(std::int64_t number, std::int64_t by) {
  return number / by - (number % by < 0 ? 1 : 0);
}

GnssTime rounded(GnssTime time) {
  return GnssTime::from_ns(floor_div(time.ns() + kTickNs / 2, kTickNs) *
                           kTickNs);
}

}  // namespace

TimeScale written_scale(const ObservationHeader& header, Version version) {
  if (header.scale == TimeScale::kUtc) {
    return TimeScale::kGlonass;
  }
  const bool too_new =
      header.scale == TimeScale::kBeidou || header.scale == TimeScale::kQzss;
  return version == Version::k211 && too_new ? TimeScale::kGps : header.scale;
}

std::optional<std::string_view> scale_name(TimeScale scale) {
  switch (scale) {
    case TimeScale::kGps:
      return "GPS";
    case TimeScale::kGlonass:
    case TimeScale::kUtc:
      return "GLO";
    case TimeScale::kGalileo:
      return "GAL";
    case TimeScale::kBeidou:
      return "BDT";
    case TimeScale::kQzss:
      return "QZS";
    case TimeScale::kTai:
      break;
  }
  return std::nullopt;
}

std::string header_time(GnssTime time, TimeScale scale) {
  const Calendar c = to_calendar(rounded(time), scale);
  std::string text;
  for (const int part : {c.year, c.month, c.day, c.hour, c.minute}) {
    append_integer(text, part, 6);
  }
  // Always fits: below 61 s.
  static_cast<void>(append_fixed(
      text, nearest_units(c.second, 1e7), kSecondWidth + 2, kSecondDecimals));
  text.append(5, ' ');
  text += scale_name(scale).value_or("");
  return text;
}

EpochHeads::Printed EpochHeads::printed(GnssTime time) const {
  if (!picoseconds_) {
    return {rounded(time), 0};
  }
  const std::int64_t below = floor_div(time.ns(), kTickNs) * kTickNs;
  constexpr std::int64_t kPsPerNs = 1000;
  return {GnssTime::from_ns(below),
          static_cast<int>((time.ns() - below) * kPsPerNs)};
}

const char* EpochHeads::find_day(GnssTime time) {
  const Calendar c = to_calendar(time, scale_);
  const bool old = version_ == Version::k211;
  if (old ? c.year < 1980 || c.year > 2079 : c.year < 1000 || c.year > 9999) {
    return old ? "version 2.11 writes the years 1980 to 2079 only"
               : "the year does not have four digits";
  }
  const auto start =
      from_calendar(Calendar{c.year, c.month, c.day, 0, 0, 0}, scale_);
  if (!start) {
    return "the date is outside the calendar of this program";
  }
  date_.clear();
  if (old) {
    date_ += ' ';
    append_padded(date_, c.year % 100, 2);
    append_integer(date_, c.month, 3);
    append_integer(date_, c.day, 3);
  } else {
    date_ += "> ";
    append_padded(date_, c.year, 4);
    date_ += ' ';
    append_padded(date_, c.month, 2);
    date_ += ' ';
    append_padded(date_, c.day, 2);
  }
  date_ += ' ';
  day_start_ns_ = start->ns();
  has_day_ = true;
  return nullptr;
}

const char* EpochHeads::write(GnssTime printed,
                              EpochFlag flag,
                              std::size_t satellites,
                              std::string& to) {
  const bool inside = has_day_ && printed.ns() >= day_start_ns_ &&
                      printed.ns() < day_start_ns_ + kDayNs;
  if (!inside) {
    if (const char* wrong = find_day(printed); wrong != nullptr) {
      return wrong;
    }
  }
  const std::int64_t ticks = (printed.ns() - day_start_ns_) / kTickNs;
  // A leap second is the 61st of the day's last minute.
  const std::int64_t minutes =
      std::min<std::int64_t>(ticks / (60 * kTicksPerS), 24L * 60 - 1);
  const auto hour = static_cast<int>(minutes / 60);
  const auto minute = static_cast<int>(minutes % 60);
  to = date_;
  if (version_ == Version::k211) {
    append_integer(to, hour, 2);
    append_integer(to, minute, 3);
  } else {
    append_padded(to, hour, 2);
    to += ' ';
    append_padded(to, minute, 2);
  }
  // Always fits: below 61 s.
  static_cast<void>(append_fixed(
      to, ticks - minutes * 60 * kTicksPerS, kSecondWidth, kSecondDecimals));
  append_integer(to, static_cast<std::int64_t>(flag), 3);
  append_integer(to, static_cast<std::int64_t>(satellites), 3);
  return nullptr;
}

}  // namespace stillpoint::rinex
