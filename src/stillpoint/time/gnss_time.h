// Instants and durations. Every module keeps time in GnssTime; other scales
// exist only at the codec boundary (stillpoint/time/scales.h).
#pragma once

#include <cmath>
#include <compare>
#include <cstdint>
#include <functional>

namespace stillpoint {

// Difference of two instants of one time scale, in seconds. Whole seconds are
// exact (the nanoseconds are divided, not multiplied by 1e-9).
struct Duration {
  double s = 0.0;
  friend auto operator<=>(Duration, Duration) = default;
};

// An instant on a continuous time scale (GPS system time, no leap seconds),
// held as whole nanoseconds since 1980-01-06 00:00:00 GPST.
// Range +-292 years, exact comparison and hashing.
class GnssTime {
 public:
  static constexpr std::int64_t kNsPerS = 1'000'000'000;
  static constexpr std::int64_t kWeekNs = 604'800 * kNsPerS;

  constexpr GnssTime() = default;
  static constexpr GnssTime from_ns(std::int64_t ns) { return GnssTime(ns); }
  // week: full GPS week, no rollover; tow_s: seconds of week, any sign.
  static GnssTime from_gps_week(int week, double tow_s) {
    return GnssTime(week * kWeekNs + std::llround(tow_s * 1e9));
  }

  [[nodiscard]] constexpr std::int64_t ns() const { return ns_; }
  // Full GPS week; -1 and less before 1980.
  [[nodiscard]] constexpr int week() const {
    const std::int64_t w = ns_ / kWeekNs - (ns_ % kWeekNs < 0 ? 1 : 0);
    return static_cast<int>(w);
  }
  // Seconds of the GPS week, [0, 604800).
  [[nodiscard]] constexpr double tow_s() const {
    return static_cast<double>(ns_ - week() * kWeekNs) / 1e9;
  }

  // Written out: clang-tidy 14 takes the defaulted one for a null pointer.
  friend constexpr std::strong_ordering operator<=>(GnssTime a, GnssTime b) {
    return a.ns_ <=> b.ns_;
  }
  friend constexpr bool operator==(GnssTime a, GnssTime b) {
    return a.ns_ == b.ns_;
  }
  friend constexpr Duration operator-(GnssTime a, GnssTime b) {
    return Duration{static_cast<double>(a.ns_ - b.ns_) / 1e9};
  }
  friend GnssTime operator+(GnssTime t, Duration d) {
    return GnssTime(t.ns_ + std::llround(d.s * 1e9));
  }
  friend GnssTime operator-(GnssTime t, Duration d) {
    return GnssTime(t.ns_ - std::llround(d.s * 1e9));
  }

 private:
  explicit constexpr GnssTime(std::int64_t ns) : ns_(ns) {}
  std::int64_t ns_ = 0;
};

}  // namespace stillpoint

template <>
struct std::hash<stillpoint::GnssTime> {
  std::size_t operator()(stillpoint::GnssTime t) const noexcept {
    return std::hash<std::int64_t>{}(t.ns());
  }
};
