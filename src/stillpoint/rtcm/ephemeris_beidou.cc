// Sets of BeiDou, D1 and D2.
#include "stillpoint/gnss/accuracy_index.h"
#include "stillpoint/rtcm/ephemeris.h"
#include "stillpoint/rtcm/ephemeris_scale.h"

namespace stillpoint::rtcm {
namespace {

constexpr int kStepS = 8;
constexpr unsigned kLast = 63;

// BDS-SIS-ICD B1I table 5-10; angles of the harmonics are radians.
constexpr KeplerUnits kUnits{.af0 = -33,
                             .af1 = -50,
                             .af2 = -66,
                             .delta_n = -43,
                             .omega_dot = -43,
                             .idot = -43,
                             .harmonic_angle = -31,
                             .harmonic_radius = -6};

template <class Io, class Raw, class Value>
void scale(Io& io, Raw& m, Value& e) {
  constexpr double kTgdS = 1e-10;
  scale_kepler(io, m, e, kUnits);
  io.number(m.tgd1, e.group_delay_s[0], kTgdS);
  io.number(m.tgd2, e.group_delay_s[1], kTgdS);
  io.whole(m.aode, e.iode);
  io.whole(m.aodc, e.iodc);
}

// Geostationary satellites send D2 (as gnss tells them apart).
NavMessage message_of(SatId sat) {
  return sat.number <= 5 || sat.number >= 59 ? NavMessage::kD2
                                             : NavMessage::kD1;
}

}  // namespace

Result<KeplerEphemeris> to_ephemeris(const RawBeidouEphemeris& m,
                                     GnssTime near) {
  const auto sat = satellite_of(System::kBeidou, m.satellite, kLast);
  if (!sat) {
    return fail(sat.error());
  }
  auto e = kepler_start(m, *sat, kBeidouCount, kStepS, near);
  if (!e) {
    return e;
  }
  ToValue io;
  scale(io, m, *e);
  e->message = message_of(*sat);
  e->accuracy_m = ura_m(m.urai);
  e->health = m.unhealthy ? 1U : 0U;
  return checked(*e);
}

Result<RawBeidouEphemeris> to_raw_beidou(const KeplerEphemeris& e) {
  RawBeidouEphemeris m;
  const NavMessage message =
      e.message == NavMessage::kD2 ? NavMessage::kD2 : NavMessage::kD1;
  const Status good =
      expect_kind(e, System::kBeidou, message).and_then([&](auto) {
        return put_start(e, kBeidouCount, kStepS, m);
      });
  if (!good) {
    return fail(good.error());
  }
  ToRaw io;
  scale(io, m, e);
  m.urai = ura_index(e.accuracy_m);
  m.unhealthy = e.health != 0;
  return fitting(io, m, e.sat);
}

std::optional<int> full_week_hint(const RawBeidouEphemeris& m) {
  return m.week == 0 ? std::nullopt
                     : std::optional(kBeidouCount.week0 + m.week);
}

}  // namespace stillpoint::rtcm
