// Sets of GPS, QZSS and NavIC: LNAV and its kin.
#include "stillpoint/gnss/accuracy_index.h"
#include "stillpoint/rtcm/ephemeris.h"
#include "stillpoint/rtcm/ephemeris_scale.h"

namespace stillpoint::rtcm {
namespace {

constexpr int kStepS = 16;
constexpr unsigned kLastOf6Bits = 63;
constexpr unsigned kLastQzss = 10;
constexpr double kUsualFitS = 4 * 3600;
constexpr double kQzssUsualFitS = 2 * 3600;

// IS-GPS-200 table 20-III; IS-QZSS-PNT table 4.3.2-4 has the same.
constexpr KeplerUnits kGpsUnits{.af0 = -31,
                                .af1 = -43,
                                .af2 = -55,
                                .delta_n = -43,
                                .omega_dot = -43,
                                .idot = -43,
                                .harmonic_angle = -29,
                                .harmonic_radius = -5};
constexpr KeplerUnits kNavicUnits{.af0 = -31,
                                  .af1 = -43,
                                  .af2 = -55,
                                  .delta_n = -41,
                                  .omega_dot = -41,
                                  .idot = -43,
                                  .harmonic_angle = -28,
                                  .harmonic_radius = -4};

template <class Io, class Raw, class Value>
void scale_gps(Io& io, Raw& m, Value& e) {
  scale_kepler(io, m, e, kGpsUnits);
  io.number(m.tgd, e.group_delay_s[0], power_of_2(-31));
  io.whole(m.iode, e.iode);
  io.whole(m.iodc, e.iodc);
  io.whole(m.health, e.health);
}

template <class Io, class Raw, class Value>
void scale_navic(Io& io, Raw& m, Value& e) {
  scale_kepler(io, m, e, kNavicUnits);
  io.number(m.tgd, e.group_delay_s[0], power_of_2(-31));
  io.whole(m.iodec, e.iode);
}

// Fit interval of a set whose flag says "more than four hours".
//
//   source   IS-GPS-200 table 20-XII (from memory), 6 h for other issues
double long_fit_s(int iodc) {
  const auto within = [iodc](int first, int last) {
    return iodc >= first && iodc <= last;
  };
  double hours = 6;
  if (within(240, 247)) {
    hours = 8;
  } else if (within(248, 255) || iodc == 496) {
    hours = 14;
  } else if (within(497, 503) || within(1021, 1023)) {
    hours = 26;
  }
  return hours * 3600;
}

}  // namespace

Result<KeplerEphemeris> to_ephemeris(const RawGpsEphemeris& m, GnssTime near) {
  const auto sat = satellite_of(System::kGps, m.satellite, kLastOf6Bits);
  if (!sat) {
    return fail(sat.error());
  }
  auto e = kepler_start(m, *sat, kGpsCount, kStepS, near);
  if (!e) {
    return e;
  }
  ToValue io;
  scale_gps(io, m, *e);
  e->accuracy_m = ura_m(m.ura);
  e->fit_interval_s = m.long_fit ? long_fit_s(m.iodc) : 0;
  return checked(*e);
}

Result<RawGpsEphemeris> to_raw_gps(const KeplerEphemeris& e) {
  RawGpsEphemeris m;
  const Status good =
      expect_kind(e, System::kGps, NavMessage::kLnav).and_then([&](auto) {
        return put_start(e, kGpsCount, kStepS, m);
      });
  if (!good) {
    return fail(good.error());
  }
  ToRaw io;
  scale_gps(io, m, e);
  m.ura = ura_index(e.accuracy_m);
  m.code_on_l2 = 1;
  m.long_fit = e.fit_interval_s > kUsualFitS;
  return fitting(io, m, e.sat);
}

Result<KeplerEphemeris> to_ephemeris(const RawQzssEphemeris& m, GnssTime near) {
  const auto sat = satellite_of(System::kQzss, m.satellite, kLastQzss);
  if (!sat) {
    return fail(sat.error());
  }
  auto e = kepler_start(m, *sat, kGpsCount, kStepS, near);
  if (!e) {
    return e;
  }
  ToValue io;
  scale_gps(io, m, *e);
  e->accuracy_m = ura_m(m.ura);
  e->fit_interval_s = m.long_fit ? kUsualFitS : 0;
  return checked(*e);
}

Result<RawQzssEphemeris> to_raw_qzss(const KeplerEphemeris& e) {
  RawQzssEphemeris m;
  const Status good =
      expect_kind(e, System::kQzss, NavMessage::kLnav).and_then([&](auto) {
        return put_start(e, kGpsCount, kStepS, m);
      });
  if (!good) {
    return fail(good.error());
  }
  ToRaw io;
  scale_gps(io, m, e);
  m.ura = ura_index(e.accuracy_m);
  m.code_on_l2 = 2;
  m.long_fit = e.fit_interval_s > kQzssUsualFitS;
  return fitting(io, m, e.sat);
}

Result<KeplerEphemeris> to_ephemeris(const RawNavicEphemeris& m,
                                     GnssTime near) {
  const auto sat = satellite_of(System::kNavic, m.satellite, kLastOf6Bits);
  if (!sat) {
    return fail(sat.error());
  }
  auto e = kepler_start(m, *sat, kGpsCount, kStepS, near);
  if (!e) {
    return e;
  }
  ToValue io;
  scale_navic(io, m, *e);
  e->accuracy_m = ura_m(m.ura);
  e->health = (m.l5_bad ? 2U : 0U) | (m.s_bad ? 1U : 0U);
  return checked(*e);
}

Result<RawNavicEphemeris> to_raw_navic(const KeplerEphemeris& e) {
  RawNavicEphemeris m;
  const Status good =
      expect_kind(e, System::kNavic, NavMessage::kLnav).and_then([&](auto) {
        return put_start(e, kGpsCount, kStepS, m);
      });
  if (!good) {
    return fail(good.error());
  }
  ToRaw io;
  scale_navic(io, m, e);
  m.ura = ura_index(e.accuracy_m);
  m.l5_bad = (e.health & 2U) != 0;
  m.s_bad = (e.health & 1U) != 0;
  return fitting(io, m, e.sat);
}

}  // namespace stillpoint::rtcm
