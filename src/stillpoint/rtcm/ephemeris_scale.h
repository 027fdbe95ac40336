// From the integers of a Kepler message to values and back: one list of units,
// walked in either direction. Inside this module only.
#pragma once

#include <cmath>
#include <cstdint>
#include <limits>
#include <utility>

#include "stillpoint/core/result.h"
#include "stillpoint/gnss/broadcast.h"
#include "stillpoint/gnss/ephemeris.h"
#include "stillpoint/rtcm/ephemeris_time.h"
#include "stillpoint/rtcm/raw_ephemeris.h"

namespace stillpoint::rtcm {

// IS-GPS-200 20.3.3.4.3.2, and the same in the other systems' ICDs.
inline constexpr double kSemicircle = 3.1415926535898;

// Integer to value.
class ToValue {
 public:
  template <class Raw>
  void number(const Raw& raw, double& value, double unit) {
    value = static_cast<double>(raw) * unit;
  }
  // An angle whose field holds a whole turn.
  void turn(const std::int32_t& raw, double& value, double unit) {
    number(raw, value, unit);
  }
  template <class Raw, class Value>
  void whole(const Raw& raw, Value& value) {
    value = static_cast<Value>(raw);
  }
};

// Value to the nearest integer. Fields narrower than their type are checked
// when the message is encoded.
class ToRaw {
 public:
  // False once a value was no number or too large.
  [[nodiscard]] bool ok() const { return ok_; }

  template <class Raw>
  void number(Raw& raw, const double& value, double unit) {
    const double steps = std::round(value / unit);
    using Limits = std::numeric_limits<Raw>;
    if (!(steps >= static_cast<double>(Limits::lowest()) &&
          steps <= static_cast<double>(Limits::max()))) {
      ok_ = false;
      return;
    }
    raw = static_cast<Raw>(steps);
  }
  void turn(std::int32_t& raw, const double& value, double unit) {
    constexpr double kTurn = 4294967296.0;  // steps
    double steps = std::round(value / unit);
    steps -= kTurn * std::floor(steps / kTurn + 0.5);
    number(raw, steps, 1);
  }
  template <class Raw, class Value>
  void whole(Raw& raw, const Value& value) {
    if (!std::in_range<Raw>(value)) {
      ok_ = false;
      return;
    }
    raw = static_cast<Raw>(value);
  }

 private:
  bool ok_ = true;
};

// Units as powers of two of seconds, semicircles and metres. Those of the
// angles at the reference time are 2^-31, of the eccentricity 2^-33, of the
// root of the semi-major axis 2^-19 in every message.
struct KeplerUnits {
  int af0, af1, af2;
  int delta_n, omega_dot, idot;
  int harmonic_angle;  // [radians]
  int harmonic_radius;
};

inline double power_of_2(int exponent) {
  return std::ldexp(1.0, exponent);
}

template <class Io, class Raw, class Value>
void scale_kepler(Io& io, Raw& m, Value& e, const KeplerUnits& unit) {
  const auto semicircles = [](int exponent) {
    return std::ldexp(kSemicircle, exponent);
  };
  io.number(m.af0, e.af0_s, power_of_2(unit.af0));
  io.number(m.af1, e.af1_s_per_s, power_of_2(unit.af1));
  io.number(m.af2, e.af2_s_per_s2, power_of_2(unit.af2));
  io.number(m.sqrt_a, e.sqrt_a_sqrt_m, power_of_2(-19));
  io.number(m.eccentricity, e.eccentricity, power_of_2(-33));
  io.turn(m.m0, e.m0_rad, semicircles(-31));
  io.turn(m.omega0, e.omega0_rad, semicircles(-31));
  io.turn(m.omega, e.omega_rad, semicircles(-31));
  io.number(m.i0, e.i0_rad, semicircles(-31));
  io.number(m.delta_n, e.delta_n_rad_per_s, semicircles(unit.delta_n));
  io.number(m.omega_dot, e.omega_dot_rad_per_s, semicircles(unit.omega_dot));
  io.number(m.idot, e.idot_rad_per_s, semicircles(unit.idot));
  const double angle = power_of_2(unit.harmonic_angle);
  io.number(m.cuc, e.cuc_rad, angle);
  io.number(m.cus, e.cus_rad, angle);
  io.number(m.cic, e.cic_rad, angle);
  io.number(m.cis, e.cis_rad, angle);
  const double radius = power_of_2(unit.harmonic_radius);
  io.number(m.crc, e.crc_m, radius);
  io.number(m.crs, e.crs_m, radius);
}

// Satellite of a message's number, 1 .. last; nothing for others.
//
//   errors   kOutOfRange
Result<SatId> satellite_of(System system, unsigned number, unsigned last);

// Satellite and reference times, the start of every Kepler set.
//
//   step_s   unit of toc and toe
//   errors   kOutOfRange for a satellite or a time that does not exist
Result<KeplerEphemeris> kepler_start(
    const RawKepler& m, SatId sat, WeekCount count, int step_s, GnssTime near);

// The reverse; the week is that of toe.
//
//   errors   kOutOfRange for times between two steps
Status put_start(const KeplerEphemeris& e,
                 WeekCount count,
                 int step_s,
                 RawKepler& m);

// The set, unless its numbers cannot be an orbit (kOutOfRange, as the reader
// of files does).
Result<KeplerEphemeris> checked(KeplerEphemeris e);

//   errors   kUnsupported unless the set is of that system and message
Status expect_kind(const KeplerEphemeris& e, System system, NavMessage message);

Error does_not_fit(SatId sat, int type);

// The message, unless a value did not fit its field (kOutOfRange).
template <class Raw>
Result<Raw> fitting(const ToRaw& io, const Raw& m, SatId sat) {
  if (!io.ok() || encode_fields(m).empty()) {
    return fail(does_not_fit(sat, m.type));
  }
  return m;
}

}  // namespace stillpoint::rtcm
