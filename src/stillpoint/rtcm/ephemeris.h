// Ephemeris messages to values and back.
//
// Exact where it can be: a value that came from a message gives the same
// message again, up to the fields that a value has no place for (named below,
// written with the neutral value in brackets), and from it the same value.
// Padding and bytes behind the message (`rest`) are not kept, nor is the week
// number where it is not that of toe (sets are sent before and after the edge
// of a week): it is written as the week of toe, and as that of the set's own
// scale.
#pragma once

#include <optional>

#include "stillpoint/core/result.h"
#include "stillpoint/gnss/ephemeris.h"
#include "stillpoint/rtcm/raw_ephemeris.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::rtcm {

// The value of a message.
//
//   near     an instant near the one at which the message was received. It has
//            to be right within ten years (week modulo 1024), and within half a
//            day at the edge of a week: which side of it a toe lies on
//            follows from nothing else.
//   returns  angles in radians with the ICDs' pi, times in GPST; `transmitted`
//            stays empty, these messages do not carry it
//   errors   kOutOfRange for a satellite or a time that does not exist and for
//            numbers that cannot be an orbit
//   source   RTCM 10403.3; units of the ICDs (shared checks section 5)
//   threads  pure, as all below
//
// 1019. Fit interval: 0 without the flag, else hours by IODC (IS-GPS-200 table
// 20-XII, from memory). No place: code on L2 [1, P code], L2 P data flag [0].
Result<KeplerEphemeris> to_ephemeris(const RawGpsEphemeris& m, GnssTime near);
// 1044. Fit interval: 4 h with the flag, else 0. No place: code on L2 [2, as
// IS-QZSS-PNT has it].
Result<KeplerEphemeris> to_ephemeris(const RawQzssEphemeris& m, GnssTime near);
// 1041. IODEC becomes iode, the flags bit 1 (L5) and 0 (S) of health. No place:
// reserved and spare bits [0].
Result<KeplerEphemeris> to_ephemeris(const RawNavicEphemeris& m, GnssTime near);
// 1042. D2 for C01 .. C05 and from C59, else D1; AODE and AODC become iode and
// iodc. Everything has its place.
Result<KeplerEphemeris> to_ephemeris(const RawBeidouEphemeris& m,
                                     GnssTime near);
// 1046 is I/NAV of E1-B and E5b (data sources 517), everything else F/NAV
// (258), which has no BGD E5b/E1 (NaN). Health bits as in files: E1-B from 0,
// E5a from 3, E5b from 6, each the validity bit, then two of status. No place:
// reserved bits [0], a spare SISA (126 .. 254) [255].
Result<KeplerEphemeris> to_ephemeris(const RawGalileoEphemeris& m,
                                     GnssTime near);
// 1020. The day is that of N_T and N_4 (N_4 only where the message says that
// its additional data are filled in; converters in real streams send others).
// N_T alone has to be within half a year of near, both within ten years; else
// the day is the one nearest to near. t_k becomes `transmitted` where it is
// within two hours of t_b. The top bit of B_n becomes 1, as in files; l_n of
// either string and an almanac that says unhealthy have their bits. F_T of 0
// in a message that does not call the satellite GLONASS-M is "not known".
// No place: minus zero [plus zero], P1 [1, half an hour], P2 [that t_b is odd],
// P3, P, E_n, P4, N_A, tau_c, tau_GPS, additional data [0], M [1], l_n of the
// fifth string [0, and set in the third], the healthy almanac [not at hand].
Result<StateEphemeris> to_ephemeris(const RawGlonassEphemeris& m,
                                    GnssTime near);

// The message of a value, `type` and all.
//
//   errors   kUnsupported for another system or message than the one it takes
//            (LNAV; D1 or D2; F/NAV; I/NAV), kOutOfRange for a value that the
//            fields cannot hold, times between their steps included (toe and
//            toc 16 s, BeiDou 8 s, Galileo 60 s, GLONASS 15 min)
Result<RawGpsEphemeris> to_raw_gps(const KeplerEphemeris& e);
Result<RawQzssEphemeris> to_raw_qzss(const KeplerEphemeris& e);
Result<RawNavicEphemeris> to_raw_navic(const KeplerEphemeris& e);
Result<RawBeidouEphemeris> to_raw_beidou(const KeplerEphemeris& e);
Result<RawGalileoEphemeris> to_raw_galileo_fnav(const KeplerEphemeris& e);
Result<RawGalileoEphemeris> to_raw_galileo_inav(const KeplerEphemeris& e);
// N_4 is written although the message says that its additional data are not
// filled in (tau_c is not known). Without `transmitted` t_k is a quarter of an
// hour before t_b, the start of the usual interval. Any bit of B_n sets the one
// that is sent.
Result<RawGlonassEphemeris> to_raw_glonass(const StateEphemeris& e);

// GPS week in which a message was sent, without any help from outside:
// Galileo's 12 bits (until 2078) and BeiDou's 13 (until 2163), nothing for a
// week number of zero, which is that of a receiver that does not know; GLONASS
// by N_4, N_T and t_k (t_b where t_k is far from it), nothing where the message
// does not say that its additional data are filled in. The weeks of GPS, QZSS
// and NavIC are known modulo 1024 alone.
std::optional<int> full_week_hint(const RawGalileoEphemeris& m);
std::optional<int> full_week_hint(const RawBeidouEphemeris& m);
std::optional<int> full_week_hint(const RawGlonassEphemeris& m);

}  // namespace stillpoint::rtcm
