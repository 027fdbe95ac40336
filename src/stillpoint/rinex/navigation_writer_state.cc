// The fields of state vectors: what navigation_state.cc reads, in its places.
#include <cmath>

#include "stillpoint/gnss/accuracy_index.h"
#include "stillpoint/rinex/navigation_record_parts.h"
#include "stillpoint/rinex/navigation_records.h"
#include "stillpoint/rinex/navigation_writer_parts.h"

namespace stillpoint::rinex::nav {
namespace {

// Seconds of the week (of the day in version 2's GLONASS) on a scale that is
// ahead of GPST; NaN where it is not known.
double transmission_s(const StateEphemeris& e,
                      double ahead_s,
                      double period_s,
                      LeftOutValues& left_out) {
  if (!e.transmitted) {
    return kMissing;
  }
  if (std::abs((*e.transmitted - e.toe).s) >= kDayS) {
    ++left_out["transmission times a day and more from the reference time"];
    return kMissing;
  }
  return std::fmod((*e.transmitted + Duration{ahead_s}).tow_s(), period_s);
}

// Versions 3.05 and later.
void set_glonass_extra(const StateEphemeris& e, RecordText& r) {
  const unsigned health = static_cast<unsigned>(e.health);
  const unsigned flags = ((health & kGlonassUnhealthyL3) != 0 ? 4U : 0U) |
                         ((health & kGlonassUnhealthyAlmanac) != 0 ? 2U : 0U);
  r.set(4, 0, kUnknownMark);  // status flags
  r.set(4, 1, is_present(e.l2_minus_l1_s) ? e.l2_minus_l1_s : kUnknownMark);
  r.set(4, 2, glonass_accuracy_index(e.accuracy_m));
  r.set(4, 3, flags);
}

void count_glonass_extra(const StateEphemeris& e, LeftOutValues& left_out) {
  if (is_present(e.l2_minus_l1_s)) {
    ++left_out["delays of L2 behind L1 of GLONASS: version 2.11 has no place"];
  }
  if (is_present(e.accuracy_m)) {
    ++left_out["accuracies of GLONASS: version 2.11 has no place"];
  }
  if ((static_cast<unsigned>(e.health) &
       (kGlonassUnhealthyL3 | kGlonassUnhealthyAlmanac)) != 0) {
    ++left_out["health flags of GLONASS: version 2.11 has no place"];
  }
}

void set_glonass(const StateEphemeris& e,
                 Version version,
                 RecordText& r,
                 LeftOutValues& left_out) {
  const bool old = version == Version::k211;
  r.set(0,
        3,
        transmission_s(
            e, -gps_minus_utc_s(e.toe), old ? kDayS : kWeekS, left_out));
  r.set(1, 3, static_cast<unsigned>(e.health) & kGlonassBnMask);
  r.set(2, 3, e.channel);
  if (old) {
    count_glonass_extra(e, left_out);
  } else {
    set_glonass_extra(e, r);
  }
}

}  // namespace

RecordText state_record(const StateEphemeris& e,
                        Version version,
                        LeftOutValues& left_out) {
  const bool glonass = e.sat.system == System::kGlonass;
  const LineCount lines = lines_of(e.sat.system, e.message);
  RecordText r(version == Version::k211 ? lines.least : lines.most);
  r.set_from(0, 1, e.clock_s, e.clock_rate);
  const Ecef p = 1e-3 * e.position_m, v = 1e-3 * e.velocity_mps,
             a = 1e-3 * e.acceleration_mps2;
  r.set_from(1, 0, p.x_m, v.x_m, a.x_m);
  r.set_from(2, 0, p.y_m, v.y_m, a.y_m);
  r.set_from(3, 0, p.z_m, v.z_m, a.z_m);
  if (glonass) {
    set_glonass(e, version, r, left_out);
  } else {
    r.set(0, 3, transmission_s(e, 0, kWeekS, left_out));
    r.set(1, 3, e.health);
    r.set(2, 3, e.accuracy_m);
    r.set(3, 3, e.issue);
  }
  return r;
}

}  // namespace stillpoint::rinex::nav
