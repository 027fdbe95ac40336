#include "stillpoint/rinex/navigation_records.h"

#include <array>
#include <cmath>

#include "stillpoint/rinex/navigation_record_parts.h"

namespace stillpoint::rinex::nav {

TimeScale scale_of(System system) {
  switch (system) {
    case System::kGalileo:
      return TimeScale::kGalileo;
    case System::kBeidou:
      return TimeScale::kBeidou;
    case System::kQzss:
      return TimeScale::kQzss;
    case System::kGlonass:
      return TimeScale::kGlonass;
    default:
      return TimeScale::kGps;
  }
}

GnssTime nearest(double seconds,
                 double period_s,
                 double ahead_s,
                 GnssTime near) {
  const double now = (near + Duration{ahead_s}).tow_s();
  const double away = std::remainder(seconds - now, period_s);
  return near + Duration{away};
}

double positive_or_missing(const FieldTable& f,
                           std::size_t row,
                           std::size_t column) {
  return f.at(row, column) > 0 ? f.at(row, column) : kMissing;
}

Error with_satellite(Error error, SatId sat) {
  error.what = sat.text() + ": " + error.what;
  return error;
}

Error not_an_orbit(SatId sat) {
  return {ErrorCode::kOutOfRange,
          sat.text() + ": the numbers cannot be an orbit and clock",
          {},
          {}};
}

std::optional<NavMessage> message_from_name(System system,
                                            std::string_view name) {
  struct Row {
    std::string_view systems, name;
    NavMessage message;
  };
  constexpr std::array kRows{Row{"GJI", "LNAV", NavMessage::kLnav},
                             Row{"GJ", "CNAV", NavMessage::kCnav},
                             Row{"GJ", "CNV2", NavMessage::kCnav2},
                             Row{"E", "INAV", NavMessage::kInav},
                             Row{"E", "FNAV", NavMessage::kFnav},
                             Row{"C", "D1", NavMessage::kD1},
                             Row{"C", "D2", NavMessage::kD2},
                             Row{"C", "CNV1", NavMessage::kBcnav1},
                             Row{"C", "CNV2", NavMessage::kBcnav2},
                             Row{"C", "CNV3", NavMessage::kBcnav3},
                             Row{"R", "FDMA", NavMessage::kFdma},
                             Row{"S", "SBAS", NavMessage::kSbas}};
  const char letter = system_letter(system);
  for (const Row& row : kRows) {
    if (row.name == name && row.systems.find(letter) != row.systems.npos) {
      return row.message;
    }
  }
  return std::nullopt;
}

LineCount lines_of(System system, NavMessage message) {
  switch (message) {
    case NavMessage::kCnav:
    case NavMessage::kBcnav3:
      return {9, 9};
    case NavMessage::kCnav2:
    case NavMessage::kBcnav1:
    case NavMessage::kBcnav2:
      return {10, 10};
    case NavMessage::kFdma:
    case NavMessage::kSbas:
      return system == System::kGlonass ? LineCount{4, 5} : LineCount{4, 4};
    default:
      return {8, 8};
  }
}

NavMessage message_of_old(SatId sat) {
  switch (sat.system) {
    case System::kGalileo:
      return NavMessage::kInav;
    case System::kBeidou:
      return sat.number <= 5 || sat.number >= 59 ? NavMessage::kD2
                                                 : NavMessage::kD1;
    case System::kGlonass:
      return NavMessage::kFdma;
    case System::kSbas:
      return NavMessage::kSbas;
    default:
      return NavMessage::kLnav;
  }
}

}  // namespace stillpoint::rinex::nav
