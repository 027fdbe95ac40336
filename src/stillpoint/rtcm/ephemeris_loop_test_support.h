// Message to value to message, for the tests of the mapping: what a value has
// no place for (as ephemeris.h names it), and values compared in every field.
#pragma once

#include <cmath>
#include <tuple>

#include "stillpoint/rtcm/ephemeris.h"
#include "stillpoint/rtcm/ephemeris_test_support.h"

namespace stillpoint::rtcm::eph_test {

inline RawGpsEphemeris neutral(RawGpsEphemeris m) {
  m.code_on_l2 = 1;
  m.l2p_data_off = false;
  m.rest = {};
  return m;
}
inline RawQzssEphemeris neutral(RawQzssEphemeris m) {
  m.code_on_l2 = 2;
  m.rest = {};
  return m;
}
inline RawNavicEphemeris neutral(RawNavicEphemeris m) {
  m.reserved = m.spare1 = m.spare2 = 0;
  m.rest = {};
  return m;
}
inline RawBeidouEphemeris neutral(RawBeidouEphemeris m) {
  m.rest = {};
  return m;
}
inline RawGalileoEphemeris neutral(RawGalileoEphemeris m) {
  m.sisa = m.sisa > 125 ? std::uint16_t{255} : m.sisa;
  m.reserved = 0;
  m.rest = {};
  return m;
}
inline RawGlonassEphemeris neutral(RawGlonassEphemeris m) {
  for (SignMagnitude* value : {&m.x,
                               &m.y,
                               &m.z,
                               &m.vx,
                               &m.vy,
                               &m.vz,
                               &m.ax,
                               &m.ay,
                               &m.az,
                               &m.tau,
                               &m.gamma,
                               &m.delta_tau}) {
    *value = SignMagnitude::of(value->value());
  }
  m.almanac_present = m.almanac_present && !m.almanac_healthy;
  m.almanac_healthy = false;
  m.p1 = 1;
  m.p2 = m.tb % 2 != 0;
  if (m.m == 0 && m.ft == 0) {
    m.ft = 15;
  }
  m.m = 1;
  m.ln_third = m.ln_third || (m.additional && m.ln_fifth);
  m.p3 = m.p4 = m.additional = m.ln_fifth = false;
  m.p = m.en = m.na = m.reserved = 0;
  m.tau_c = m.tau_gps = {};
  m.rest = {};
  return m;
}

inline auto back(const RawGpsEphemeris& /*like*/, const KeplerEphemeris& e) {
  return to_raw_gps(e);
}
inline auto back(const RawQzssEphemeris& /*like*/, const KeplerEphemeris& e) {
  return to_raw_qzss(e);
}
inline auto back(const RawNavicEphemeris& /*like*/, const KeplerEphemeris& e) {
  return to_raw_navic(e);
}
inline auto back(const RawBeidouEphemeris& /*like*/, const KeplerEphemeris& e) {
  return to_raw_beidou(e);
}
inline auto back(const RawGalileoEphemeris& like, const KeplerEphemeris& e) {
  return like.type == 1046 ? to_raw_galileo_inav(e) : to_raw_galileo_fnav(e);
}
inline auto back(const RawGlonassEphemeris& /*like*/, const StateEphemeris& e) {
  return to_raw_glonass(e);
}

// Equal, or both not a number.
inline bool same(double a, double b) {
  return a == b || (std::isnan(a) && std::isnan(b));
}

inline bool same(const KeplerEphemeris& a, const KeplerEphemeris& b) {
  const auto exact = [](const KeplerEphemeris& e) {
    return std::tuple(e.sat,
                      e.message,
                      e.toc,
                      e.toe,
                      e.transmitted,
                      e.af0_s,
                      e.af1_s_per_s,
                      e.af2_s_per_s2,
                      e.sqrt_a_sqrt_m,
                      e.eccentricity,
                      e.m0_rad,
                      e.delta_n_rad_per_s,
                      e.omega0_rad,
                      e.omega_dot_rad_per_s,
                      e.omega_rad,
                      e.i0_rad,
                      e.idot_rad_per_s);
  };
  const auto rest = [](const KeplerEphemeris& e) {
    return std::tuple(e.cuc_rad,
                      e.cus_rad,
                      e.crc_m,
                      e.crs_m,
                      e.cic_rad,
                      e.cis_rad,
                      e.a_dot_m_per_s,
                      e.delta_n_dot_rad_per_s2,
                      e.iode,
                      e.iodc,
                      e.health,
                      e.data_sources,
                      e.fit_interval_s,
                      e.group_delay_s[0]);
  };
  return exact(a) == exact(b) && rest(a) == rest(b) &&
         same(a.accuracy_m, b.accuracy_m) &&
         same(a.group_delay_s[1], b.group_delay_s[1]);
}

inline bool same(const StateEphemeris& a, const StateEphemeris& b) {
  const auto exact = [](const StateEphemeris& e) {
    return std::tuple(e.sat,
                      e.message,
                      e.toe,
                      e.transmitted,
                      e.position_m.x_m,
                      e.position_m.y_m,
                      e.position_m.z_m,
                      e.velocity_mps.x_m,
                      e.velocity_mps.y_m,
                      e.velocity_mps.z_m,
                      e.acceleration_mps2.x_m,
                      e.acceleration_mps2.y_m,
                      e.acceleration_mps2.z_m,
                      e.clock_s,
                      e.clock_rate,
                      e.channel,
                      e.health,
                      e.issue);
  };
  return exact(a) == exact(b) && same(a.l2_minus_l1_s, b.l2_minus_l1_s) &&
         same(a.accuracy_m, b.accuracy_m);
}

// The message of its own value, and that value's own; the week and, for
// GLONASS, day and frame time may be written anew and are left to the caller.
template <class Raw>
Raw through_value(const Raw& m, GnssTime near) {
  const auto e = to_ephemeris(m, near);
  EXPECT_TRUE(e) << (e ? "" : e.error().what);
  if (!e) {
    return {};
  }
  const auto again = back(m, *e);
  EXPECT_TRUE(again) << (again ? "" : again.error().what);
  if (!again) {
    return {};
  }
  const auto value = to_ephemeris(*again, near);
  EXPECT_TRUE(value);
  EXPECT_TRUE(value && same(*value, *e)) << e->sat.text();
  return *again;
}

}  // namespace stillpoint::rtcm::eph_test
