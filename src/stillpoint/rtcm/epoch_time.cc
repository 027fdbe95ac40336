#include "stillpoint/rtcm/epoch_time.h"

#include <cmath>

#include "stillpoint/time/scales.h"

namespace stillpoint::rtcm {
namespace {

constexpr std::int64_t kMsNs = 1'000'000;
constexpr std::int64_t kDayMs = 86'400'000;
constexpr std::int64_t kWeekMs = 7 * kDayMs;
constexpr std::int64_t kMoscowMs = 10'800'000;
constexpr std::int64_t kBdtMs =
    static_cast<std::int64_t>(kBdtMinusGpstS) * 1000;
constexpr std::uint32_t kDayUnknown = 7;
// Receivers that count BDT as GPST - 14 s without minding the week go on below
// zero for 14 s: 2^30 - 14000 (seen in a real stream).
constexpr std::int64_t kEpochRange = std::int64_t{1} << 30;
constexpr std::int64_t kMostBeforeWeekMs = 60'000;
constexpr unsigned kDayShift = 27;

std::int64_t floor_ms(GnssTime t) {
  const std::int64_t ms = t.ns() / kMsNs;
  return t.ns() % kMsNs < 0 ? ms - 1 : ms;
}

std::int64_t modulo(std::int64_t value, std::int64_t modulus) {
  const std::int64_t rest = value % modulus;
  return rest < 0 ? rest + modulus : rest;
}

// The milliseconds congruent to `ms` that are nearest to `near_ms`.
std::int64_t nearest(std::int64_t ms,
                     std::int64_t modulus,
                     std::int64_t near_ms) {
  const std::int64_t behind = modulo(ms - near_ms, modulus);
  return near_ms + (behind * 2 > modulus ? behind - modulus : behind);
}

// GLONASS time of an instant as milliseconds without leap seconds.
std::int64_t glonass_ms(GnssTime t) {
  return floor_ms(t) - std::int64_t{gps_minus_utc_s(t)} * 1000 + kMoscowMs;
}

// Back. The second after a leap second reads like the leap second itself: of
// the two the one nearer to `near` is meant, which another system's epoch of
// the same instant decides.
GnssTime from_glonass(std::int64_t ms, GnssTime near) {
  const auto with = [&](int offset_s) {
    return GnssTime::from_ns((ms - kMoscowMs + std::int64_t{offset_s} * 1000) *
                             kMsNs);
  };
  const Duration day{86'400};
  const int before = gps_minus_utc_s(near - day);
  const int after = gps_minus_utc_s(near + day);
  const GnssTime early = with(before);
  const GnssTime late = with(after);
  if (gps_minus_utc_s(early) != before) {
    return late;
  }
  if (gps_minus_utc_s(late) != after) {
    return early;
  }
  return std::abs((early - near).s) <= std::abs((late - near).s) ? early : late;
}

}  // namespace

std::optional<GnssTime> week_ms_time(std::uint32_t ms, GnssTime near) {
  if (ms >= kWeekMs) {
    return std::nullopt;
  }
  return GnssTime::from_ns(nearest(ms, kWeekMs, floor_ms(near)) * kMsNs);
}

std::optional<GnssTime> glonass_day_ms_time(std::uint32_t ms, GnssTime near) {
  if (ms > kDayMs + 1000) {
    return std::nullopt;
  }
  return from_glonass(nearest(ms, kDayMs, glonass_ms(near)), near);
}

std::optional<std::uint32_t> glonass_day_ms(GnssTime time) {
  if (time.ns() % kMsNs != 0) {
    return std::nullopt;
  }
  return static_cast<std::uint32_t>(modulo(glonass_ms(time), kDayMs));
}

std::optional<GnssTime> msm_epoch_time(System system,
                                       std::uint32_t epoch,
                                       GnssTime near) {
  if (system == System::kGlonass) {
    const std::uint32_t day = epoch >> kDayShift;
    const std::uint32_t ms = epoch & ((1U << kDayShift) - 1);
    if (day == kDayUnknown) {
      return glonass_day_ms_time(ms, near);
    }
    if (ms > kDayMs + 1000) {
      return std::nullopt;
    }
    return from_glonass(nearest(day * kDayMs + ms, kWeekMs, glonass_ms(near)),
                        near);
  }
  if (system == System::kBeidou) {
    std::int64_t reading = epoch;
    if (kEpochRange - reading <= kMostBeforeWeekMs) {
      reading -= kEpochRange;
    } else if (reading >= kWeekMs) {
      return std::nullopt;
    }
    const std::int64_t bdt = nearest(reading, kWeekMs, floor_ms(near) + kBdtMs);
    return GnssTime::from_ns((bdt - kBdtMs) * kMsNs);
  }
  return week_ms_time(epoch, near);
}

std::optional<std::uint32_t> msm_epoch_field(System system, GnssTime time) {
  if (time.ns() % kMsNs != 0) {
    return std::nullopt;
  }
  const std::int64_t ms = floor_ms(time);
  if (system == System::kGlonass) {
    const auto of_day = glonass_day_ms(time);
    const std::int64_t day = modulo(glonass_ms(time), kWeekMs) / kDayMs;
    return static_cast<std::uint32_t>(day) << kDayShift | *of_day;
  }
  return static_cast<std::uint32_t>(
      modulo(system == System::kBeidou ? ms + kBdtMs : ms, kWeekMs));
}

}  // namespace stillpoint::rtcm
