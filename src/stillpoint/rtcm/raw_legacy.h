// The observations before MSM, exactly as on the wire: GPS 1001 to 1004,
// GLONASS 1009 to 1012. Which fields a satellite has follows from `type`.
//
//   source   RTCM 10403.3, order and widths from memory; the published frames
//            of tests/vectors/rtcm_legacy.vec agree in every field
#pragma once

#include <concepts>
#include <cstddef>
#include <cstdint>
#include <type_traits>
#include <vector>

#include "stillpoint/rtcm/wire.h"

namespace stillpoint::rtcm {

// 1002, 1004, 1010, 1012: whole light-milliseconds and C/N0.
constexpr bool is_extended_legacy(int type) {
  return type % 2 == 0;
}
// 1003, 1004, 1011, 1012.
constexpr bool has_legacy_l2(int type) {
  return type == 1003 || type == 1004 || type == 1011 || type == 1012;
}

// Values that mean "not measured": phase minus code of either band (DF012,
// DF018, DF042, DF048) and the L2 code minus that of L1 (DF017, DF047).
inline constexpr std::int32_t kNoLegacyPhase = -524288;
inline constexpr std::int16_t kNoLegacyCode = -8192;

// One satellite of either system; the field numbers are GPS, GLONASS.
struct RawLegacySatellite {
  std::uint8_t satellite = 0;  // DF009, DF038
  std::uint8_t l1_signal = 0;  // DF010, DF039
  std::uint8_t channel = 0;    // DF040, GLONASS alone: channel + 7
  std::uint32_t l1_code = 0;   // DF011, DF041 [0.02 m]
  std::int32_t l1_phase = 0;   // DF012, DF042 [0.0005 m] minus l1_code
  std::uint8_t l1_lock = 0;    // DF013, DF043
  std::uint8_t l1_whole = 0;   // DF014, DF044 [1 ms, 2 ms of light]
  std::uint8_t l1_cn0 = 0;     // DF015, DF045 [0.25 dB-Hz]
  std::uint8_t l2_signal = 0;  // DF016, DF046
  std::int16_t l2_code = kNoLegacyCode;  // DF017, DF047 [0.02 m] minus l1_code
  std::int32_t l2_phase =
      kNoLegacyPhase;        // DF018, DF048 [0.0005 m] minus l1_code
  std::uint8_t l2_lock = 0;  // DF019, DF049
  std::uint8_t l2_cn0 = 0;   // DF020, DF050 [0.25 dB-Hz]
  friend bool operator==(const RawLegacySatellite&,
                         const RawLegacySatellite&) = default;
};

namespace detail {

template <class Io, class Satellite>
void legacy_l1_tail(Io& io, Satellite& s, int type, unsigned whole_bits) {
  io.s(s.l1_phase, 20);
  io.u(s.l1_lock, 7);
  if (is_extended_legacy(type)) {
    io.u(s.l1_whole, whole_bits);
    io.u(s.l1_cn0, 8);
  }
}

template <class Io, class Satellite>
void legacy_l2(Io& io, Satellite& s, int type) {
  if (!has_legacy_l2(type)) {
    return;
  }
  io.u(s.l2_signal, 2);
  io.s(s.l2_code, 14);
  io.s(s.l2_phase, 20);
  io.u(s.l2_lock, 7);
  if (is_extended_legacy(type)) {
    io.u(s.l2_cn0, 8);
  }
}

}  // namespace detail

// 1001, 1002, 1003, 1004.
struct RawLegacyGps {
  std::uint16_t type = 1004;
  std::uint16_t station_id = 0;
  std::uint32_t tow_ms = 0;                    // DF004, of the GPS week
  bool more_follows = false;                   // DF005, for the same epoch
  bool divergence_free = false;                // DF007
  std::uint8_t smoothing = 0;                  // DF008
  std::vector<RawLegacySatellite> satellites;  // at most 31
  Rest rest;
  friend bool operator==(const RawLegacyGps&, const RawLegacyGps&) = default;
};

template <class Io, class Message>
requires std::same_as<std::remove_const_t<Message>, RawLegacyGps>
void fields(Io& io, Message& m) {
  io.u(m.type, 12);
  io.u(m.station_id, 12);
  io.u(m.tow_ms, 30);
  io.u(m.more_follows, 1);
  std::size_t count = m.satellites.size();
  io.u(count, 5);
  io.u(m.divergence_free, 1);
  io.u(m.smoothing, 3);
  io.list(m.satellites, count, [&m](auto& at, auto& s) {
    at.u(s.satellite, 6);
    at.u(s.l1_signal, 1);
    at.u(s.l1_code, 24);
    detail::legacy_l1_tail(at, s, m.type, 8);
    detail::legacy_l2(at, s, m.type);
  });
  io.rest(m.rest);
}

// 1009, 1010, 1011, 1012.
struct RawLegacyGlonass {
  std::uint16_t type = 1012;
  std::uint16_t station_id = 0;
  std::uint32_t day_ms = 0;      // DF034, of the GLONASS day (UTC + 3 h)
  bool more_follows = false;     // DF005
  bool divergence_free = false;  // DF036
  std::uint8_t smoothing = 0;    // DF037
  std::vector<RawLegacySatellite> satellites;  // at most 31
  Rest rest;
  friend bool operator==(const RawLegacyGlonass&,
                         const RawLegacyGlonass&) = default;
};

template <class Io, class Message>
requires std::same_as<std::remove_const_t<Message>, RawLegacyGlonass>
void fields(Io& io, Message& m) {
  io.u(m.type, 12);
  io.u(m.station_id, 12);
  io.u(m.day_ms, 27);
  io.u(m.more_follows, 1);
  std::size_t count = m.satellites.size();
  io.u(count, 5);
  io.u(m.divergence_free, 1);
  io.u(m.smoothing, 3);
  io.list(m.satellites, count, [&m](auto& at, auto& s) {
    at.u(s.satellite, 6);
    at.u(s.l1_signal, 1);
    at.u(s.channel, 5);
    at.u(s.l1_code, 25);
    detail::legacy_l1_tail(at, s, m.type, 7);
    detail::legacy_l2(at, s, m.type);
  });
  io.rest(m.rest);
}

}  // namespace stillpoint::rtcm
