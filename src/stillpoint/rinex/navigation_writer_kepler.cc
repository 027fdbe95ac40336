// The fields of Kepler sets: what navigation_kepler.cc reads, in its places.
#include <array>
#include <cmath>

#include "stillpoint/rinex/navigation_record_parts.h"
#include "stillpoint/rinex/navigation_records.h"
#include "stillpoint/rinex/navigation_writer_parts.h"

namespace stillpoint::rinex::nav {
namespace {

constexpr double kHourS = 3600;

double ahead_s(const KeplerEphemeris& e) {
  return e.sat.system == System::kBeidou ? kBdtMinusGpstS : 0;
}

// Week and seconds of it on the system's own scale. The week is that of toe.
int week_of(const KeplerEphemeris& e) {
  return (e.toe + Duration{ahead_s(e)}).week() -
         (e.sat.system == System::kBeidou ? kBeidouWeek0 : 0);
}

// Counted from the beginning of toe's week, whatever week it is sent in; the
// reader takes no time that is a day and more away.
double transmission_s(const KeplerEphemeris& e, LeftOutValues& left_out) {
  if (!e.transmitted) {
    return kUnknownTransmission;
  }
  const double later_s = (*e.transmitted - e.toe).s;
  if (std::abs(later_s) >= kDayS) {
    ++left_out["transmission times a day and more from the reference time"];
    return kUnknownTransmission;
  }
  return (e.toe + Duration{ahead_s(e)}).tow_s() + later_s;
}

// Upper value of a user range accuracy index of CNAV [m].
//
//   source   IS-GPS-200 30.3.3.1.1.4
double cnav_accuracy_m(int index) {
  return index <= 6 ? std::exp2(1 + index / 2.0) : std::exp2(index - 2.0);
}

// The indices (ED, NED0), ED not smaller, whose root of squares is nearest to
// the accuracy; from a file it is met to the last digit. NaN where it is not
// known.
std::array<double, 2> cnav_indices(double accuracy_m) {
  std::array<double, 2> best{kMissing, kMissing};
  double best_off = 0;
  constexpr int kLeast = -16, kMost = 14;
  for (int ed = kLeast; is_present(accuracy_m) && ed <= kMost; ++ed) {
    for (int ned = kLeast; ned <= ed; ++ned) {
      const double off = std::abs(
          std::hypot(cnav_accuracy_m(ed), cnav_accuracy_m(ned)) - accuracy_m);
      if (std::isnan(best[0]) || off < best_off) {
        best = {static_cast<double>(ed), static_cast<double>(ned)};
        best_off = off;
      }
    }
  }
  return best;
}

void set_orbit(const KeplerEphemeris& e, RecordText& r) {
  r.set_from(0, 1, e.af0_s, e.af1_s_per_s, e.af2_s_per_s2);
  r.set_from(1, 1, e.crs_m, e.delta_n_rad_per_s, e.m0_rad);
  r.set_from(2, 0, e.cuc_rad, e.eccentricity, e.cus_rad, e.sqrt_a_sqrt_m);
  r.set(3, 0, (e.toe + Duration{ahead_s(e)}).tow_s());
  r.set_from(3, 1, e.cic_rad, e.omega0_rad, e.cis_rad);
  r.set_from(4, 0, e.i0_rad, e.crc_m, e.omega_rad, e.omega_dot_rad_per_s);
  r.set(5, 0, e.idot_rad_per_s);
}

void set_lnav(const KeplerEphemeris& e, RecordText& r) {
  r.set(1, 0, e.iode);
  r.set(5, 2, week_of(e));
  r.set_from(6, 0, e.accuracy_m, e.health, e.group_delay_s[0]);
  if (e.sat.system != System::kNavic) {
    r.set(6, 3, e.iodc);
  }
  if (e.sat.system == System::kGps) {
    constexpr double kUsualHours = 4;
    r.set(7, 1, e.fit_interval_s > 0 ? e.fit_interval_s / kHourS : kUsualHours);
  }
}

// Version 3 tells I/NAV and F/NAV apart by the word alone.
double data_sources(const KeplerEphemeris& e, Version version) {
  constexpr unsigned kInavSources = 517, kFnavSources = 258;
  const unsigned word = e.data_sources;
  const bool says_fnav =
      (word & 0x300U) != 0 ? (word & 0x100U) != 0 : (word & 0x7U) == 0x2U;
  const bool fnav = e.message == NavMessage::kFnav;
  if (version == Version::k402 || says_fnav == fnav) {
    return word;
  }
  return fnav ? kFnavSources : kInavSources;
}

void set_galileo(const KeplerEphemeris& e, Version version, RecordText& r) {
  constexpr double kNoPrediction = -1;
  r.set(1, 0, e.iode);
  r.set_from(5, 1, data_sources(e, version), week_of(e));
  r.set(6, 0, is_present(e.accuracy_m) ? e.accuracy_m : kNoPrediction);
  r.set_from(6, 1, e.health, e.group_delay_s[0], e.group_delay_s[1]);
}

void set_beidou(const KeplerEphemeris& e, RecordText& r) {
  r.set(1, 0, e.iode);
  r.set(5, 2, week_of(e));
  r.set_from(6, 0, e.accuracy_m, e.health);
  r.set_from(6, 2, e.group_delay_s[0], e.group_delay_s[1]);
  r.set(7, 1, e.iodc);
}

void set_cnav(const KeplerEphemeris& e, RecordText& r) {
  const auto [ed, ned0] = cnav_indices(e.accuracy_m);
  r.set(1, 0, e.a_dot_m_per_s);
  r.set(3, 0, kMissing);  // the time of prediction
  r.set_from(5, 1, e.delta_n_dot_rad_per_s2, ned0);
  r.set_from(6, 0, ed, e.health, e.group_delay_s[0]);
  r.set_from(7, 0, e.isc_s[0], e.isc_s[1], e.isc_s[2], e.isc_s[3]);
  if (e.message == NavMessage::kCnav2) {
    r.set_from(8, 0, e.isc_s[4], e.isc_s[5]);
  }
}

void set_bcnav(const KeplerEphemeris& e,
               RecordText& r,
               LeftOutValues& left_out) {
  r.set(1, 0, e.a_dot_m_per_s);
  r.set(5, 1, e.delta_n_dot_rad_per_s2);
  if (is_present(e.accuracy_m)) {
    ++left_out[std::string("accuracies of BeiDou ") + message_name(e.message) +
               ": the message has indices of another kind"];
  }
  if (e.message == NavMessage::kBcnav3) {
    r.set(7, 1, e.health);
    r.set(7, 3, e.group_delay_s[0]);
    return;
  }
  const std::size_t own = e.message == NavMessage::kBcnav1 ? 0 : 1;
  r.set(7, own, e.isc_s[own]);
  r.set_from(7, 2, e.group_delay_s[0], e.group_delay_s[1]);
  r.set(8, 1, e.health);
  r.set(8, 3, e.iodc);
  r.set(9, 3, e.iode);
}

// The row that begins with the transmission time.
std::size_t transmission_row(NavMessage message) {
  switch (message) {
    case NavMessage::kCnav:
    case NavMessage::kBcnav3:
      return 8;
    case NavMessage::kCnav2:
    case NavMessage::kBcnav1:
    case NavMessage::kBcnav2:
      return 9;
    default:
      return 7;
  }
}

}  // namespace

RecordText kepler_record(const KeplerEphemeris& e,
                         Version version,
                         LeftOutValues& left_out) {
  RecordText r(lines_of(e.sat.system, e.message).least);
  set_orbit(e, r);
  switch (e.message) {
    case NavMessage::kCnav:
    case NavMessage::kCnav2:
      set_cnav(e, r);
      break;
    case NavMessage::kInav:
    case NavMessage::kFnav:
      set_galileo(e, version, r);
      break;
    case NavMessage::kD1:
    case NavMessage::kD2:
      set_beidou(e, r);
      break;
    case NavMessage::kBcnav1:
    case NavMessage::kBcnav2:
    case NavMessage::kBcnav3:
      set_bcnav(e, r, left_out);
      break;
    default:
      set_lnav(e, r);
      break;
  }
  r.set(transmission_row(e.message), 0, transmission_s(e, left_out));
  return r;
}

}  // namespace stillpoint::rinex::nav
