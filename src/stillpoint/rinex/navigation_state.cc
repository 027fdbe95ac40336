// State vectors of GLONASS and SBAS.
#include <algorithm>
#include <cmath>
#include <utility>

#include "stillpoint/gnss/accuracy_index.h"
#include "stillpoint/gnss/broadcast.h"
#include "stillpoint/rinex/navigation_record_parts.h"
#include "stillpoint/rinex/navigation_records.h"

namespace stillpoint::rinex::nav {
namespace {

// Position, velocity and acceleration stand in columns 0 to 2.
bool has_state(const FieldTable& f) {
  for (std::size_t row = 1; row < 4; ++row) {
    if (!f.has(row, 0) || !f.has(row, 1) || !f.has(row, 2)) {
      return false;
    }
  }
  return f.has(0, 1);
}

// The fifth line of GLONASS, versions 3.05 and later: status flags, delay of
// L2 behind L1, accuracy factor, health flags. Unknown: 0.999999999999E+09.
void take_glonass_extra(const FieldTable& f, StateEphemeris& e) {
  if (f.has(4, 1) && std::abs(f.at(4, 1)) < 1e-6) {
    e.l2_minus_l1_s = f.at(4, 1);
  }
  if (f.has(4, 2)) {
    const int factor = f.whole(4, 2);
    e.accuracy_m = factor >= 0
                       ? glonass_accuracy_m(static_cast<unsigned>(factor))
                       : kMissing;
  }
  const int flags = f.whole(4, 3);
  if (!f.has(4, 3) || flags < 0 || flags > 7) {
    return;
  }
  // Bit 2: unhealthy by l_n; bit 1: an almanac is at hand, bit 0: it says
  // healthy.
  unsigned health = static_cast<unsigned>(e.health);
  if ((flags & 4) != 0) {
    health |= kGlonassUnhealthyL3;
  }
  if ((flags & 3) == 2) {
    health |= kGlonassUnhealthyAlmanac;
  }
  e.health = static_cast<int>(health);
}

void take_glonass(const FieldTable& f, double version, StateEphemeris& e) {
  e.message = NavMessage::kFdma;
  e.health = std::clamp(f.whole(1, 3), 0, 7);
  e.channel = f.whole(2, 3);
  // The message frame's time is UTC, of the day in version 2.
  const double utc_behind = gps_minus_utc_s(e.toe);
  const double period = version < 3 ? kDayS : kWeekS;
  if (f.has(0, 3) && f.at(0, 3) >= 0 && f.at(0, 3) < 2 * period) {
    const GnssTime t = nearest(f.at(0, 3), period, -utc_behind, e.toe);
    if (std::abs((t - e.toe).s) < kDayS) {
      e.transmitted = t;
    }
  }
  // t_b: quarters of an hour of the day of Moscow time (UTC + 3 h).
  const double moscow = (e.toe + Duration{10'800 - utc_behind}).tow_s();
  e.issue =
      static_cast<int>(std::lround(std::fmod(moscow, kDayS) / 900.0)) % 96;
}

void take_sbas(const FieldTable& f, StateEphemeris& e) {
  e.message = NavMessage::kSbas;
  e.health = std::max(f.whole(1, 3), 0);
  e.accuracy_m = positive_or_missing(f, 2, 3);
  e.issue = f.whole(3, 3);
  if (f.has(0, 3) && std::abs(f.at(0, 3)) < 2 * kWeekS) {
    e.transmitted = nearest(f.at(0, 3), kWeekS, 0, e.toe);
  }
}

}  // namespace

Result<StateEphemeris> decode_state(const RawRecord& record,
                                    const RecordHead& head,
                                    double version) {
  StateEphemeris e;
  e.sat = head.sat;
  const bool glonass = e.sat.system == System::kGlonass;
  const LineCount count =
      lines_of(e.sat.system, glonass ? NavMessage::kFdma : NavMessage::kSbas);
  const std::size_t rows =
      std::clamp(record.lines.size(), count.least, count.most);
  auto table = FieldTable::read(record, rows, version);
  if (!table) {
    return fail(with_satellite(std::move(table.error()), e.sat));
  }
  const FieldTable& f = *table;
  auto toe = from_calendar(head.time, scale_of(e.sat.system));
  if (!toe) {
    return fail(with_satellite(std::move(toe.error()), e.sat));
  }
  e.toe = *toe;
  e.clock_s = f.at(0, 1);
  e.clock_rate = f.at(0, 2);
  const auto column = [&f](std::size_t c) {
    return 1e3 * Ecef{f.at(1, c), f.at(2, c), f.at(3, c)};
  };
  e.position_m = column(0);
  e.velocity_mps = column(1);
  e.acceleration_mps2 = column(2);
  if (glonass) {
    take_glonass(f, version, e);
    if (rows > count.least) {
      take_glonass_extra(f, e);
    }
  } else {
    take_sbas(f, e);
  }
  if (!has_state(f) || !is_plausible(e)) {
    return fail(not_an_orbit(e.sat));
  }
  return e;
}

}  // namespace stillpoint::rinex::nav
