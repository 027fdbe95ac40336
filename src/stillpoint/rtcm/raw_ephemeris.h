// Broadcast ephemerides exactly as on the wire: 1019 (GPS), 1020 (GLONASS),
// 1041 (NavIC), 1042 (BeiDou), 1044 (QZSS), 1045 and 1046 (Galileo).
//
//   source   RTCM 10403.3 and (1041) a later amendment; order and widths:
//            shared checks section 5 and the field lists of the general parser
//            named there; 1041 is in that parser alone
#pragma once

#include <concepts>
#include <cstdint>
#include <type_traits>

#include "stillpoint/rtcm/wire.h"

namespace stillpoint::rtcm {

// What every Kepler message has, with widths and units of its own (units:
// ephemeris_scale.h). Times are in the message's steps.
struct RawKepler {
  std::uint16_t satellite = 0;
  std::uint16_t week = 0;
  std::uint32_t toc = 0, toe = 0;
  std::int32_t af0 = 0, af1 = 0, af2 = 0;
  std::uint32_t sqrt_a = 0, eccentricity = 0;
  std::int32_t m0 = 0, delta_n = 0;
  std::int32_t omega0 = 0, omega_dot = 0, omega = 0, i0 = 0, idot = 0;
  std::int32_t cuc = 0, cus = 0, crc = 0, crs = 0, cic = 0, cis = 0;
  friend bool operator==(const RawKepler&, const RawKepler&) = default;
};

struct RawGpsEphemeris : RawKepler {
  std::uint16_t type = 1019;
  std::uint16_t ura = 0;  // index
  std::uint16_t code_on_l2 = 0;
  std::uint16_t iode = 0, iodc = 0;
  std::int32_t tgd = 0;
  std::uint16_t health = 0;
  bool l2p_data_off = false;
  bool long_fit = false;  // fit interval of more than four hours
  Rest rest;
  friend bool operator==(const RawGpsEphemeris&,
                         const RawGpsEphemeris&) = default;
};

template <class Io, class Message>
requires std::same_as<std::remove_const_t<Message>, RawGpsEphemeris>
void fields(Io& io, Message& m) {
  io.u(m.type, 12);          // DF002
  io.u(m.satellite, 6);      // DF009
  io.u(m.week, 10);          // DF076
  io.u(m.ura, 4);            // DF077
  io.u(m.code_on_l2, 2);     // DF078
  io.s(m.idot, 14);          // DF079
  io.u(m.iode, 8);           // DF071
  io.u(m.toc, 16);           // DF081
  io.s(m.af2, 8);            // DF082
  io.s(m.af1, 16);           // DF083
  io.s(m.af0, 22);           // DF084
  io.u(m.iodc, 10);          // DF085
  io.s(m.crs, 16);           // DF086
  io.s(m.delta_n, 16);       // DF087
  io.s(m.m0, 32);            // DF088
  io.s(m.cuc, 16);           // DF089
  io.u(m.eccentricity, 32);  // DF090
  io.s(m.cus, 16);           // DF091
  io.u(m.sqrt_a, 32);        // DF092
  io.u(m.toe, 16);           // DF093
  io.s(m.cic, 16);           // DF094
  io.s(m.omega0, 32);        // DF095
  io.s(m.cis, 16);           // DF096
  io.s(m.i0, 32);            // DF097
  io.s(m.crc, 16);           // DF098
  io.s(m.omega, 32);         // DF099
  io.s(m.omega_dot, 24);     // DF100
  io.s(m.tgd, 8);            // DF101
  io.u(m.health, 6);         // DF102
  io.u(m.l2p_data_off, 1);   // DF103
  io.u(m.long_fit, 1);       // DF137
  io.rest(m.rest);
}

struct RawQzssEphemeris : RawKepler {
  std::uint16_t type = 1044;
  std::uint16_t iode = 0, iodc = 0;
  std::uint16_t code_on_l2 = 0;
  std::uint16_t ura = 0;  // index
  std::uint16_t health = 0;
  std::int32_t tgd = 0;
  bool long_fit = false;  // fit interval of more than two hours
  Rest rest;
  friend bool operator==(const RawQzssEphemeris&,
                         const RawQzssEphemeris&) = default;
};

template <class Io, class Message>
requires std::same_as<std::remove_const_t<Message>, RawQzssEphemeris>
void fields(Io& io, Message& m) {
  io.u(m.type, 12);          // DF002
  io.u(m.satellite, 4);      // DF429
  io.u(m.toc, 16);           // DF430
  io.s(m.af2, 8);            // DF431
  io.s(m.af1, 16);           // DF432
  io.s(m.af0, 22);           // DF433
  io.u(m.iode, 8);           // DF434
  io.s(m.crs, 16);           // DF435
  io.s(m.delta_n, 16);       // DF436
  io.s(m.m0, 32);            // DF437
  io.s(m.cuc, 16);           // DF438
  io.u(m.eccentricity, 32);  // DF439
  io.s(m.cus, 16);           // DF440
  io.u(m.sqrt_a, 32);        // DF441
  io.u(m.toe, 16);           // DF442
  io.s(m.cic, 16);           // DF443
  io.s(m.omega0, 32);        // DF444
  io.s(m.cis, 16);           // DF445
  io.s(m.i0, 32);            // DF446
  io.s(m.crc, 16);           // DF447
  io.s(m.omega, 32);         // DF448
  io.s(m.omega_dot, 24);     // DF449
  io.s(m.idot, 14);          // DF450
  io.u(m.code_on_l2, 2);     // DF451
  io.u(m.week, 10);          // DF452
  io.u(m.ura, 4);            // DF453
  io.u(m.health, 6);         // DF454
  io.s(m.tgd, 8);            // DF455
  io.u(m.iodc, 10);          // DF456
  io.u(m.long_fit, 1);       // DF457
  io.rest(m.rest);
}

struct RawNavicEphemeris : RawKepler {
  std::uint16_t type = 1041;
  std::uint16_t ura = 0;  // index
  std::int32_t tgd = 0;
  std::uint16_t iodec = 0;
  std::uint16_t reserved = 0;
  bool l5_bad = false, s_bad = false;
  std::uint16_t spare1 = 0, spare2 = 0;
  Rest rest;
  friend bool operator==(const RawNavicEphemeris&,
                         const RawNavicEphemeris&) = default;
};

template <class Io, class Message>
requires std::same_as<std::remove_const_t<Message>, RawNavicEphemeris>
void fields(Io& io, Message& m) {
  io.u(m.type, 12);          // DF002
  io.u(m.satellite, 6);      // DF516
  io.u(m.week, 10);          // DF517
  io.s(m.af0, 22);           // DF518
  io.s(m.af1, 16);           // DF519
  io.s(m.af2, 8);            // DF520
  io.u(m.ura, 4);            // DF521
  io.u(m.toc, 16);           // DF522
  io.s(m.tgd, 8);            // DF523
  io.s(m.delta_n, 22);       // DF524
  io.u(m.iodec, 8);          // DF525
  io.u(m.reserved, 10);      // DF526
  io.u(m.l5_bad, 1);         // DF527
  io.u(m.s_bad, 1);          // DF528
  io.s(m.cuc, 15);           // DF529
  io.s(m.cus, 15);           // DF530
  io.s(m.cic, 15);           // DF531
  io.s(m.cis, 15);           // DF532
  io.s(m.crc, 15);           // DF533
  io.s(m.crs, 15);           // DF534
  io.s(m.idot, 14);          // DF535
  io.s(m.m0, 32);            // DF536
  io.u(m.toe, 16);           // DF537
  io.u(m.eccentricity, 32);  // DF538
  io.u(m.sqrt_a, 32);        // DF539
  io.s(m.omega0, 32);        // DF540
  io.s(m.omega, 32);         // DF541
  io.s(m.omega_dot, 22);     // DF542
  io.s(m.i0, 32);            // DF543
  io.u(m.spare1, 2);         // DF544
  io.u(m.spare2, 2);         // DF545
  io.rest(m.rest);
}

struct RawBeidouEphemeris : RawKepler {
  std::uint16_t type = 1042;
  std::uint16_t urai = 0;  // index
  std::uint16_t aode = 0, aodc = 0;
  std::int32_t tgd1 = 0, tgd2 = 0;  // [0.1 ns]
  bool unhealthy = false;
  Rest rest;
  friend bool operator==(const RawBeidouEphemeris&,
                         const RawBeidouEphemeris&) = default;
};

template <class Io, class Message>
requires std::same_as<std::remove_const_t<Message>, RawBeidouEphemeris>
void fields(Io& io, Message& m) {
  io.u(m.type, 12);          // DF002
  io.u(m.satellite, 6);      // DF488
  io.u(m.week, 13);          // DF489
  io.u(m.urai, 4);           // DF490
  io.s(m.idot, 14);          // DF491
  io.u(m.aode, 5);           // DF492
  io.u(m.toc, 17);           // DF493
  io.s(m.af2, 11);           // DF494
  io.s(m.af1, 22);           // DF495
  io.s(m.af0, 24);           // DF496
  io.u(m.aodc, 5);           // DF497
  io.s(m.crs, 18);           // DF498
  io.s(m.delta_n, 16);       // DF499
  io.s(m.m0, 32);            // DF500
  io.s(m.cuc, 18);           // DF501
  io.u(m.eccentricity, 32);  // DF502
  io.s(m.cus, 18);           // DF503
  io.u(m.sqrt_a, 32);        // DF504
  io.u(m.toe, 17);           // DF505
  io.s(m.cic, 18);           // DF506
  io.s(m.omega0, 32);        // DF507
  io.s(m.cis, 18);           // DF508
  io.s(m.i0, 32);            // DF509
  io.s(m.crc, 18);           // DF510
  io.s(m.omega, 32);         // DF511
  io.s(m.omega_dot, 24);     // DF512
  io.s(m.tgd1, 10);          // DF513
  io.s(m.tgd2, 10);          // DF514
  io.u(m.unhealthy, 1);      // DF515
  io.rest(m.rest);
}

// F/NAV (1045) and I/NAV (1046) differ in their last fields; those that the
// message of `type` does not have stay as they are.
struct RawGalileoEphemeris : RawKepler {
  std::uint16_t type = 1045;
  std::uint16_t iodnav = 0;
  std::uint16_t sisa = 0;        // index
  std::int32_t bgd_e5a = 0;      // E1/E5a
  std::int32_t bgd_e5b = 0;      // E1/E5b, 1046
  std::uint16_t e5a_health = 0;  // 1045
  std::uint16_t e5b_health = 0;  // 1046
  std::uint16_t e1b_health = 0;  // 1046
  bool e5a_invalid = false;      // data validity status, 1045
  bool e5b_invalid = false;      // 1046
  bool e1b_invalid = false;      // 1046
  std::uint16_t reserved = 0;
  Rest rest;
  friend bool operator==(const RawGalileoEphemeris&,
                         const RawGalileoEphemeris&) = default;
};

template <class Io, class Message>
requires std::same_as<std::remove_const_t<Message>, RawGalileoEphemeris>
void fields(Io& io, Message& m) {
  io.u(m.type, 12);          // DF002
  io.u(m.satellite, 6);      // DF252
  io.u(m.week, 12);          // DF289
  io.u(m.iodnav, 10);        // DF290
  io.u(m.sisa, 8);           // DF291, DF286
  io.s(m.idot, 14);          // DF292
  io.u(m.toc, 14);           // DF293
  io.s(m.af2, 6);            // DF294
  io.s(m.af1, 21);           // DF295
  io.s(m.af0, 31);           // DF296
  io.s(m.crs, 16);           // DF297
  io.s(m.delta_n, 16);       // DF298
  io.s(m.m0, 32);            // DF299
  io.s(m.cuc, 16);           // DF300
  io.u(m.eccentricity, 32);  // DF301
  io.s(m.cus, 16);           // DF302
  io.u(m.sqrt_a, 32);        // DF303
  io.u(m.toe, 14);           // DF304
  io.s(m.cic, 16);           // DF305
  io.s(m.omega0, 32);        // DF306
  io.s(m.cis, 16);           // DF307
  io.s(m.i0, 32);            // DF308
  io.s(m.crc, 16);           // DF309
  io.s(m.omega, 32);         // DF310
  io.s(m.omega_dot, 24);     // DF311
  io.s(m.bgd_e5a, 10);       // DF312
  if (m.type == 1046) {
    io.s(m.bgd_e5b, 10);     // DF313
    io.u(m.e5b_health, 2);   // DF316
    io.u(m.e5b_invalid, 1);  // DF317
    io.u(m.e1b_health, 2);   // DF287
    io.u(m.e1b_invalid, 1);  // DF288
    io.u(m.reserved, 2);     // DF001
  } else {
    io.u(m.e5a_health, 2);   // DF314
    io.u(m.e5a_invalid, 1);  // DF315
    io.u(m.reserved, 7);     // DF001
  }
  io.rest(m.rest);
}

// Names as in the GLONASS ICD; units: ephemeris_glonass.cc.
struct RawGlonassEphemeris {
  std::uint16_t type = 1020;
  std::uint16_t slot = 0;
  std::uint16_t channel = 0;     // frequency number + 7
  bool almanac_healthy = false;  // C_n
  bool almanac_present = false;
  std::uint16_t p1 = 0;
  std::uint16_t tk = 0;  // 5 bits hours, 6 minutes, 1 half minutes
  bool bn_top_bit = false;
  bool p2 = false;
  std::uint16_t tb = 0;  // quarters of an hour
  SignMagnitude vx, x, ax, vy, y, ay, vz, z, az;
  bool p3 = false;
  SignMagnitude gamma;
  std::uint16_t p = 0;
  bool ln_third = false;
  SignMagnitude tau, delta_tau;
  std::uint16_t en = 0;
  bool p4 = false;
  std::uint16_t ft = 0;     // accuracy index
  std::uint16_t nt = 0;     // day in the four years, from 1
  std::uint16_t m = 0;      // kind of satellite, 1: GLONASS-M
  bool additional = false;  // the rest is filled in
  std::uint16_t na = 0;
  SignMagnitude tau_c;    // [2^-31 s]
  std::uint16_t n4 = 0;   // four years since 1996, from 1
  SignMagnitude tau_gps;  // GLONASS ICD: [2^-30 day]
  bool ln_fifth = false;
  std::uint16_t reserved = 0;
  Rest rest;
  friend bool operator==(const RawGlonassEphemeris&,
                         const RawGlonassEphemeris&) = default;
};

template <class Io, class Message>
requires std::same_as<std::remove_const_t<Message>, RawGlonassEphemeris>
void fields(Io& io, Message& m) {
  io.u(m.type, 12);            // DF002
  io.u(m.slot, 6);             // DF038
  io.u(m.channel, 5);          // DF040
  io.u(m.almanac_healthy, 1);  // DF104
  io.u(m.almanac_present, 1);  // DF105
  io.u(m.p1, 2);               // DF106
  io.u(m.tk, 12);              // DF107
  io.u(m.bn_top_bit, 1);       // DF108
  io.u(m.p2, 1);               // DF109
  io.u(m.tb, 7);               // DF110
  io.sm(m.vx, 24);             // DF111
  io.sm(m.x, 27);              // DF112
  io.sm(m.ax, 5);              // DF113
  io.sm(m.vy, 24);             // DF114
  io.sm(m.y, 27);              // DF115
  io.sm(m.ay, 5);              // DF116
  io.sm(m.vz, 24);             // DF117
  io.sm(m.z, 27);              // DF118
  io.sm(m.az, 5);              // DF119
  io.u(m.p3, 1);               // DF120
  io.sm(m.gamma, 11);          // DF121
  io.u(m.p, 2);                // DF122
  io.u(m.ln_third, 1);         // DF123
  io.sm(m.tau, 22);            // DF124
  io.sm(m.delta_tau, 5);       // DF125
  io.u(m.en, 5);               // DF126
  io.u(m.p4, 1);               // DF127
  io.u(m.ft, 4);               // DF128
  io.u(m.nt, 11);              // DF129
  io.u(m.m, 2);                // DF130
  io.u(m.additional, 1);       // DF131
  io.u(m.na, 11);              // DF132
  io.sm(m.tau_c, 32);          // DF133
  io.u(m.n4, 5);               // DF134
  io.sm(m.tau_gps, 22);        // DF135
  io.u(m.ln_fifth, 1);         // DF136
  io.u(m.reserved, 7);         // DF001
  io.rest(m.rest);
}

}  // namespace stillpoint::rtcm
