// Kepler sets of GPS, Galileo, BeiDou, QZSS and NavIC.
#include <array>
#include <cmath>
#include <utility>

#include "stillpoint/gnss/broadcast.h"
#include "stillpoint/rinex/navigation_record_parts.h"
#include "stillpoint/rinex/navigation_records.h"

namespace stillpoint::rinex::nav {
namespace {

// Transmission time, where it is known: files write 0.9999E+09 or leave it
// out; it may be negative around the week's start.
std::optional<GnssTime> transmission(const FieldTable& f,
                                     std::size_t row,
                                     double ahead_s,
                                     GnssTime toe) {
  if (!f.has(row, 0) || std::abs(f.at(row, 0)) > 2 * kWeekS) {
    return std::nullopt;
  }
  const GnssTime t = nearest(f.at(row, 0), kWeekS, ahead_s, toe);
  if (std::abs((t - toe).s) > kDayS) {
    return std::nullopt;
  }
  return t;
}

// Upper value of a user range accuracy index of CNAV [m].
//
//   source   IS-GPS-200 30.3.3.1.1.4
double cnav_accuracy_m(double index) {
  return index <= 6 ? std::exp2(1 + index / 2) : std::exp2(index - 2);
}

// CNAV marks "not available" by the lowest number of the field, -2^-23 s.
double isc_or_missing(const FieldTable& f, std::size_t row, std::size_t col) {
  constexpr double kNotAvailable = 1.19e-7;
  return f.has(row, col) && std::abs(f.at(row, col)) < kNotAvailable
             ? f.at(row, col)
             : kMissing;
}

void take_orbit(const FieldTable& f, KeplerEphemeris& e) {
  e.af0_s = f.at(0, 1);
  e.af1_s_per_s = f.at(0, 2);
  e.af2_s_per_s2 = f.at(0, 3);
  e.crs_m = f.at(1, 1);
  e.delta_n_rad_per_s = f.at(1, 2);
  e.m0_rad = f.at(1, 3);
  e.cuc_rad = f.at(2, 0);
  e.eccentricity = f.at(2, 1);
  e.cus_rad = f.at(2, 2);
  e.sqrt_a_sqrt_m = f.at(2, 3);
  e.cic_rad = f.at(3, 1);
  e.omega0_rad = f.at(3, 2);
  e.cis_rad = f.at(3, 3);
  e.i0_rad = f.at(4, 0);
  e.crc_m = f.at(4, 1);
  e.omega_rad = f.at(4, 2);
  e.omega_dot_rad_per_s = f.at(4, 3);
  e.idot_rad_per_s = f.at(5, 0);
}

void take_lnav(const FieldTable& f, KeplerEphemeris& e) {
  e.iode = f.whole(1, 0);
  e.accuracy_m = positive_or_missing(f, 6, 0);
  e.health = static_cast<std::uint32_t>(f.whole(6, 1));
  e.group_delay_s[0] = f.at(6, 2);
  e.iodc = f.whole(6, 3);
  e.transmitted = transmission(f, 7, 0, e.toe);
  // GPS: hours, from 4; files with the bare flag (0 or 1) and QZSS files say
  // nothing more than "usual".
  const double fit_h = f.at(7, 1);
  if (e.sat.system == System::kGps && fit_h > 4 && fit_h <= 26) {
    e.fit_interval_s = fit_h * 3600;
  }
}

void take_galileo(const FieldTable& f,
                  std::optional<NavMessage> stated,
                  KeplerEphemeris& e) {
  e.iode = f.whole(1, 0);
  e.data_sources = static_cast<std::uint32_t>(f.whole(5, 1));
  e.accuracy_m = positive_or_missing(f, 6, 0);
  e.health = static_cast<std::uint32_t>(f.whole(6, 1));
  e.group_delay_s = {f.at(6, 2), f.at(6, 3)};
  e.transmitted = transmission(f, 7, 0, e.toe);
  // Bits 8 and 9 say what the clock refers to; without them the page type.
  const bool fnav = (e.data_sources & 0x300U) != 0
                        ? (e.data_sources & 0x100U) != 0
                        : (e.data_sources & 0x7U) == 0x2U;
  e.message = stated.value_or(fnav ? NavMessage::kFnav : NavMessage::kInav);
  if (e.message == NavMessage::kFnav && e.group_delay_s[1] == 0) {
    e.group_delay_s[1] = kMissing;  // F/NAV has no BGD E5b/E1
  }
}

void take_beidou(const FieldTable& f, KeplerEphemeris& e) {
  e.iode = f.whole(1, 0);
  e.accuracy_m = positive_or_missing(f, 6, 0);
  e.health = static_cast<std::uint32_t>(f.whole(6, 1));
  e.group_delay_s = {f.at(6, 2), f.at(6, 3)};
  e.transmitted = transmission(f, 7, kBdtMinusGpstS, e.toe);
  e.iodc = f.whole(7, 1);
}

void take_cnav(const FieldTable& f, KeplerEphemeris& e) {
  e.a_dot_m_per_s = f.at(1, 0);
  e.delta_n_dot_rad_per_s2 = f.at(5, 1);
  if (f.has(6, 0) && f.at(6, 0) >= -16 && f.at(6, 0) < 15 && f.has(5, 2) &&
      f.at(5, 2) >= -16 && f.at(5, 2) < 15) {
    e.accuracy_m =
        std::hypot(cnav_accuracy_m(f.at(6, 0)), cnav_accuracy_m(f.at(5, 2)));
  }
  e.health = static_cast<std::uint32_t>(f.whole(6, 1));
  e.group_delay_s[0] = f.at(6, 2);
  for (std::size_t i = 0; i < 4; ++i) {
    e.isc_s[i] = isc_or_missing(f, 7, i);
  }
  std::size_t last = 8;
  if (e.message == NavMessage::kCnav2) {
    e.isc_s[4] = isc_or_missing(f, 8, 0);
    e.isc_s[5] = isc_or_missing(f, 8, 1);
    last = 9;
  }
  e.transmitted = transmission(f, last, 0, e.toe);
}

void take_bcnav(const FieldTable& f, KeplerEphemeris& e) {
  e.a_dot_m_per_s = f.at(1, 0);
  e.delta_n_dot_rad_per_s2 = f.at(5, 1);
  if (e.message == NavMessage::kBcnav3) {
    e.health = static_cast<std::uint32_t>(f.whole(7, 1));
    e.group_delay_s = {f.at(7, 3), 0};
    e.transmitted = transmission(f, 8, kBdtMinusGpstS, e.toe);
    return;
  }
  const bool b1c = e.message == NavMessage::kBcnav1;
  e.isc_s[b1c ? 0 : 1] = isc_or_missing(f, 7, b1c ? 0 : 1);
  e.group_delay_s = {f.at(7, 2), f.at(7, 3)};
  e.health = static_cast<std::uint32_t>(f.whole(8, 1));
  e.iodc = f.whole(8, 3);
  e.transmitted = transmission(f, 9, kBdtMinusGpstS, e.toe);
  e.iode = f.whole(9, 3);
}

bool has_orbit(const FieldTable& f) {
  return f.has(0, 1) && f.has(1, 3) && f.has(2, 1) && f.has(2, 3) &&
         f.has(3, 2) && f.has(4, 0) && f.has(4, 2);
}

}  // namespace

Result<KeplerEphemeris> decode_kepler(const RawRecord& record,
                                      const RecordHead& head,
                                      std::optional<NavMessage> stated,
                                      double version) {
  KeplerEphemeris e;
  e.sat = head.sat;
  e.message = stated.value_or(message_of_old(e.sat));
  auto table = FieldTable::read(
      record, lines_of(e.sat.system, e.message).least, version);
  if (!table) {
    return fail(with_satellite(std::move(table.error()), e.sat));
  }
  const FieldTable& f = *table;
  auto toc = from_calendar(head.time, scale_of(e.sat.system));
  if (!toc) {
    return fail(with_satellite(std::move(toc.error()), e.sat));
  }
  e.toc = *toc;
  const bool gps_cnav =
      e.message == NavMessage::kCnav || e.message == NavMessage::kCnav2;
  // CNAV has one reference time for orbit and clock, and the time of the
  // prediction where the others have toe.
  const double toe_s = f.at(3, 0);
  if (!has_orbit(f) ||
      (!gps_cnav && (!f.has(3, 0) || toe_s < 0 || toe_s > kWeekS))) {
    return fail(not_an_orbit(e.sat));
  }
  const bool beidou = e.sat.system == System::kBeidou;
  e.toe = gps_cnav ? e.toc
                   : nearest(toe_s, kWeekS, beidou ? kBdtMinusGpstS : 0, e.toc);
  take_orbit(f, e);
  switch (e.message) {
    case NavMessage::kCnav:
    case NavMessage::kCnav2:
      take_cnav(f, e);
      break;
    case NavMessage::kInav:
    case NavMessage::kFnav:
      take_galileo(f, stated, e);
      break;
    case NavMessage::kD1:
    case NavMessage::kD2:
      take_beidou(f, e);
      break;
    case NavMessage::kBcnav1:
    case NavMessage::kBcnav2:
    case NavMessage::kBcnav3:
      take_bcnav(f, e);
      break;
    default:
      take_lnav(f, e);
      break;
  }
  if (!is_plausible(e)) {
    return fail(not_an_orbit(e.sat));
  }
  return e;
}

}  // namespace stillpoint::rinex::nav
