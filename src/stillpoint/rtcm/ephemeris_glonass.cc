// State vectors of GLONASS.
#include <cmath>
#include <string>

#include "stillpoint/gnss/accuracy_index.h"
#include "stillpoint/gnss/broadcast.h"
#include "stillpoint/rtcm/ephemeris.h"
#include "stillpoint/rtcm/ephemeris_scale.h"
#include "stillpoint/rtcm/ephemeris_time.h"

namespace stillpoint::rtcm {
namespace {

constexpr unsigned kLastSlot = 63;
constexpr int kChannelOffset = 7;
constexpr unsigned kQuarterS = 900;
constexpr unsigned kQuartersOfDay = 96;
constexpr double kWeekS = 604'800;
constexpr double kHalfYearS = 183 * 86'400.0;
constexpr double kTenYearsS = 512 * kWeekS;
constexpr double kTkReachS = 2 * 3600;

// Units in metres and seconds; GLONASS ICD table 4.5 (kilometres there).
constexpr double kPositionM = 1000.0 / (1 << 11);
constexpr double kVelocityMps = 1000.0 / (1 << 20);
constexpr double kAccelerationMps2 = 1000.0 / (1 << 30);

double value_of(const SignMagnitude& raw, double unit) {
  return static_cast<double>(raw.value()) * unit;
}

Ecef vector_of(const SignMagnitude& x,
               const SignMagnitude& y,
               const SignMagnitude& z,
               double unit) {
  return {value_of(x, unit), value_of(y, unit), value_of(z, unit)};
}

bool is_near(GnssTime t, GnssTime near, double limit_s) {
  return std::abs((t - near).s) <= limit_s;
}

// N_T in the four years that put it nearest to near.
std::optional<GnssTime> by_day_of_four_years(unsigned nt,
                                             unsigned second_of_day,
                                             GnssTime near) {
  std::optional<GnssTime> best;
  const unsigned n4 = glonass_reading(near).day.n4;
  for (unsigned i = n4 > 1 ? n4 - 1 : 1; i <= n4 + 1; ++i) {
    const auto t = glonass_time({i, nt}, second_of_day);
    if (t && (!best || std::abs((*t - near).s) < std::abs((*best - near).s))) {
      best = t;
    }
  }
  return best;
}

GnssTime toe_of(const RawGlonassEphemeris& m, GnssTime near) {
  near = within_range(near);
  const unsigned second_of_day = m.tb * kQuarterS;
  if (m.additional) {
    const auto t = glonass_time({m.n4, m.nt}, second_of_day);
    if (t && is_near(*t, near, kTenYearsS)) {
      return *t;
    }
  }
  const auto t = by_day_of_four_years(m.nt, second_of_day, near);
  return t && is_near(*t, near, kHalfYearS)
             ? *t
             : nearest_glonass_time(second_of_day, near);
}

std::optional<GnssTime> sent_at(unsigned tk, GnssTime toe) {
  const unsigned hour = tk >> 7;
  const unsigned minute = tk >> 1 & 63U;
  if (hour > 23 || minute > 59) {
    return std::nullopt;
  }
  const GnssTime t =
      nearest_glonass_time(hour * 3600 + minute * 60 + (tk & 1U) * 30, toe);
  return is_near(t, toe, kTkReachS) ? std::optional(t) : std::nullopt;
}

std::uint16_t tk_field(GnssTime sent) {
  const auto half_minutes =
      static_cast<unsigned>(glonass_reading(sent).second_of_day) / 30;
  return static_cast<std::uint16_t>(half_minutes / 120 << 7 |
                                    half_minutes % 120);
}

int health_of(const RawGlonassEphemeris& m) {
  unsigned health = m.bn_top_bit ? 1U : 0U;
  if (m.ln_third || (m.additional && m.ln_fifth)) {
    health |= kGlonassUnhealthyL3;
  }
  if (m.almanac_present && !m.almanac_healthy) {
    health |= kGlonassUnhealthyAlmanac;
  }
  return static_cast<int>(health);
}

void put(ToRaw& io, SignMagnitude& raw, double value, double unit) {
  std::int32_t steps = 0;
  io.number(steps, value, unit);
  raw = SignMagnitude::of(steps);
}

void put_health(int health, RawGlonassEphemeris& m) {
  const auto bits = static_cast<unsigned>(health);
  m.bn_top_bit = (bits & kGlonassBnMask) != 0;
  m.ln_third = (bits & kGlonassUnhealthyL3) != 0;
  m.almanac_present = (bits & kGlonassUnhealthyAlmanac) != 0;
}

void put_state(ToRaw& io, const StateEphemeris& e, RawGlonassEphemeris& m) {
  put(io, m.x, e.position_m.x_m, kPositionM);
  put(io, m.y, e.position_m.y_m, kPositionM);
  put(io, m.z, e.position_m.z_m, kPositionM);
  put(io, m.vx, e.velocity_mps.x_m, kVelocityMps);
  put(io, m.vy, e.velocity_mps.y_m, kVelocityMps);
  put(io, m.vz, e.velocity_mps.z_m, kVelocityMps);
  put(io, m.ax, e.acceleration_mps2.x_m, kAccelerationMps2);
  put(io, m.ay, e.acceleration_mps2.y_m, kAccelerationMps2);
  put(io, m.az, e.acceleration_mps2.z_m, kAccelerationMps2);
  put(io, m.gamma, e.clock_rate, power_of_2(-40));
  put(io, m.tau, -e.clock_s, power_of_2(-30));
  if (is_present(e.l2_minus_l1_s)) {
    put(io, m.delta_tau, e.l2_minus_l1_s, power_of_2(-30));
  }
}

}  // namespace

Result<StateEphemeris> to_ephemeris(const RawGlonassEphemeris& m,
                                    GnssTime near) {
  const auto sat = satellite_of(System::kGlonass, m.slot, kLastSlot);
  if (!sat) {
    return fail(sat.error());
  }
  if (m.tb >= kQuartersOfDay) {
    return fail(ErrorCode::kOutOfRange,
                sat->text() + ": t_b is outside the day");
  }
  StateEphemeris e;
  e.sat = *sat;
  e.message = NavMessage::kFdma;
  e.toe = toe_of(m, near);
  e.transmitted = sent_at(m.tk, e.toe);
  e.position_m = vector_of(m.x, m.y, m.z, kPositionM);
  e.velocity_mps = vector_of(m.vx, m.vy, m.vz, kVelocityMps);
  e.acceleration_mps2 = vector_of(m.ax, m.ay, m.az, kAccelerationMps2);
  e.clock_s = -value_of(m.tau, power_of_2(-30));
  e.clock_rate = value_of(m.gamma, power_of_2(-40));
  e.channel = m.channel - kChannelOffset;
  e.health = health_of(m);
  e.issue = m.tb;
  e.l2_minus_l1_s = value_of(m.delta_tau, power_of_2(-30));
  const bool accuracy_given = m.m != 0 || m.ft != 0;
  e.accuracy_m = accuracy_given ? glonass_accuracy_m(m.ft) : kMissing;
  if (!is_plausible(e)) {
    return fail(ErrorCode::kOutOfRange,
                sat->text() + ": the numbers cannot be an orbit and clock");
  }
  return e;
}

Result<RawGlonassEphemeris> to_raw_glonass(const StateEphemeris& e) {
  if (e.sat.system != System::kGlonass || e.message != NavMessage::kFdma) {
    return fail(ErrorCode::kUnsupported,
                e.sat.text() + ": message 1020 takes GLONASS FDMA");
  }
  const GlonassReading reading = glonass_reading(e.toe);
  const double quarters = reading.second_of_day / kQuarterS;
  if (quarters != std::floor(quarters) || reading.day.n4 == 0) {
    return fail(ErrorCode::kOutOfRange,
                e.sat.text() + ": the reference time is no quarter of an hour");
  }
  RawGlonassEphemeris m;
  ToRaw io;
  m.slot = e.sat.number;
  io.whole(m.channel, static_cast<std::int64_t>(e.channel) + kChannelOffset);
  put_health(e.health, m);
  m.p1 = 1;
  m.tb = static_cast<std::uint16_t>(quarters);
  m.p2 = m.tb % 2 != 0;
  const Duration quarter{static_cast<double>(kQuarterS)};
  const GnssTime sent = e.transmitted.value_or(e.toe);
  m.tk = tk_field(e.transmitted && is_near(sent, e.toe, kTkReachS)
                      ? sent
                      : e.toe - quarter);
  put_state(io, e, m);
  m.ft = glonass_accuracy_index(e.accuracy_m);
  m.nt = static_cast<std::uint16_t>(reading.day.nt);
  m.n4 = static_cast<std::uint16_t>(reading.day.n4);
  m.m = 1;
  return fitting(io, m, e.sat);
}

std::optional<int> full_week_hint(const RawGlonassEphemeris& m) {
  if (!m.additional || m.tb >= kQuartersOfDay) {
    return std::nullopt;
  }
  const auto t = glonass_time({m.n4, m.nt}, m.tb * kQuarterS);
  return t ? std::optional(sent_at(m.tk, *t).value_or(*t).week())
           : std::nullopt;
}

}  // namespace stillpoint::rtcm
