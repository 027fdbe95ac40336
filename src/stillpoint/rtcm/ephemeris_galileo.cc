// Sets of Galileo, F/NAV and I/NAV.
#include "stillpoint/gnss/accuracy_index.h"
#include "stillpoint/rtcm/ephemeris.h"
#include "stillpoint/rtcm/ephemeris_scale.h"

namespace stillpoint::rtcm {
namespace {

constexpr std::uint16_t kFnavType = 1045;
constexpr std::uint16_t kInavType = 1046;
constexpr int kStepS = 60;
constexpr unsigned kLast = 63;

// Galileo OS SIS ICD tables 65 and 70.
constexpr KeplerUnits kUnits{.af0 = -34,
                             .af1 = -46,
                             .af2 = -59,
                             .delta_n = -43,
                             .omega_dot = -43,
                             .idot = -43,
                             .harmonic_angle = -29,
                             .harmonic_radius = -5};

// "Data sources" of files: pages the set came from, and what its clock is for.
constexpr std::uint32_t kFnavSources = 1U << 1 | 1U << 8;
constexpr std::uint32_t kInavSources = 1U << 0 | 1U << 2 | 1U << 9;

// Lowest bit of a signal's three in the health word.
constexpr unsigned kE1b = 0, kE5a = 3, kE5b = 6;

std::uint32_t health_bits(bool invalid, unsigned status, unsigned at) {
  return (status << 1 | (invalid ? 1U : 0U)) << at;
}

void take_health(std::uint32_t health,
                 unsigned at,
                 bool& invalid,
                 std::uint16_t& status) {
  invalid = (health >> at & 1U) != 0;
  status = static_cast<std::uint16_t>(health >> (at + 1) & 3U);
}

template <class Io, class Raw, class Value>
void scale(Io& io, Raw& m, Value& e) {
  scale_kepler(io, m, e, kUnits);
  io.number(m.bgd_e5a, e.group_delay_s[0], power_of_2(-32));
  if (m.type == kInavType) {
    io.number(m.bgd_e5b, e.group_delay_s[1], power_of_2(-32));
  }
  io.whole(m.iodnav, e.iode);
}

Result<RawGalileoEphemeris> to_raw(const KeplerEphemeris& e,
                                   NavMessage message,
                                   std::uint16_t type) {
  RawGalileoEphemeris m;
  m.type = type;
  const Status good =
      expect_kind(e, System::kGalileo, message).and_then([&](auto) {
        return put_start(e, kGalileoCount, kStepS, m);
      });
  if (!good) {
    return fail(good.error());
  }
  ToRaw io;
  scale(io, m, e);
  m.sisa = sisa_index(e.accuracy_m);
  if (type == kInavType) {
    take_health(e.health, kE1b, m.e1b_invalid, m.e1b_health);
    take_health(e.health, kE5b, m.e5b_invalid, m.e5b_health);
  } else {
    take_health(e.health, kE5a, m.e5a_invalid, m.e5a_health);
  }
  return fitting(io, m, e.sat);
}

}  // namespace

Result<KeplerEphemeris> to_ephemeris(const RawGalileoEphemeris& m,
                                     GnssTime near) {
  const auto sat = satellite_of(System::kGalileo, m.satellite, kLast);
  if (!sat) {
    return fail(sat.error());
  }
  auto e = kepler_start(m, *sat, kGalileoCount, kStepS, near);
  if (!e) {
    return e;
  }
  ToValue io;
  scale(io, m, *e);
  e->accuracy_m = sisa_m(m.sisa);
  if (m.type == kInavType) {
    e->message = NavMessage::kInav;
    e->data_sources = kInavSources;
    e->health = health_bits(m.e1b_invalid, m.e1b_health, kE1b) |
                health_bits(m.e5b_invalid, m.e5b_health, kE5b);
  } else {
    e->message = NavMessage::kFnav;
    e->data_sources = kFnavSources;
    e->health = health_bits(m.e5a_invalid, m.e5a_health, kE5a);
    e->group_delay_s[1] = kMissing;
  }
  return checked(*e);
}

Result<RawGalileoEphemeris> to_raw_galileo_fnav(const KeplerEphemeris& e) {
  return to_raw(e, NavMessage::kFnav, kFnavType);
}

Result<RawGalileoEphemeris> to_raw_galileo_inav(const KeplerEphemeris& e) {
  return to_raw(e, NavMessage::kInav, kInavType);
}

std::optional<int> full_week_hint(const RawGalileoEphemeris& m) {
  return m.week == 0 ? std::nullopt
                     : std::optional(kGalileoCount.week0 + m.week);
}

}  // namespace stillpoint::rtcm
