// NMEA 0183 sentences: position (GGA, RMC), its error statistics (GST) and
// satellites in view (GSV), of any talker. A field that is empty is no value,
// never 0; angles are radians, speeds m/s.
//
//   source  NMEA 0183, versions 2.3 to 4.11, from memory
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/gnss/satellite.h"

namespace stillpoint::nmea {

// Field 6 of GGA. A number that is not named here stays as it was sent.
enum class FixQuality : std::uint8_t {
  kInvalid = 0,
  kSingle = 1,
  kDifferential = 2,
  kPrecise = 3,
  kRtkFixed = 4,
  kRtkFloat = 5,
  kEstimated = 6,
  kManual = 7,
  kSimulator = 8,
};

struct Gga {
  // UTC seconds of the day, [0, 86401): 86400.x inside a leap second.
  std::optional<double> utc_s;
  std::optional<double> lat_rad, lon_rad;  // north and east positive
  std::optional<FixQuality> quality;
  std::optional<int> satellites;  // used
  std::optional<double> hdop;
  std::optional<double> altitude_m;          // antenna above mean sea level
  std::optional<double> geoid_separation_m;  // mean sea level above ellipsoid
  std::optional<double> correction_age_s;
  std::optional<int> reference_id;  // of the station corrected from

  // Height of the antenna above the ellipsoid, where both parts were sent.
  [[nodiscard]] std::optional<double> ellipsoidal_height_m() const;
};

// A calendar date of UTC; sentences have two digits of the year, 80 .. 99 are
// taken as 1980 .. 1999 (common practice, no source).
struct Date {
  int year = 1980, month = 1, day = 6;
  friend bool operator==(const Date&, const Date&) = default;
};

enum class RmcStatus : char { kValid = 'A', kWarning = 'V' };

// The mode of RMC (2.3 and newer). A letter that is not named here stays as it
// was sent.
enum class PositionMode : char {
  kAutonomous = 'A',
  kDifferential = 'D',
  kEstimated = 'E',
  kRtkFloat = 'F',
  kManual = 'M',
  kNotValid = 'N',
  kPrecise = 'P',
  kRtkFixed = 'R',
  kSimulator = 'S',
};

struct Rmc {
  std::optional<double> utc_s;  // as in Gga
  std::optional<Date> date;
  std::optional<RmcStatus> status;
  std::optional<double> lat_rad, lon_rad;
  std::optional<double> speed_mps;   // over ground
  std::optional<double> course_rad;  // over ground, true north = 0, east = pi/2
  std::optional<PositionMode> mode;
};

// One-sigma errors of the position that carries the same time.
struct Gst {
  std::optional<double> utc_s;
  std::optional<double> rms_m;  // of the ranges that were used
  // Error ellipse; the greater axis points `orientation_rad` from true north.
  std::optional<double> semi_major_m, semi_minor_m, orientation_rad;
  std::optional<double> lat_sigma_m, lon_sigma_m, alt_sigma_m;
};

struct SatelliteInView {
  int number = 0;            // as it was sent
  std::optional<SatId> sat;  // satellite_of(); nothing for unknown numbers
  std::optional<double> elevation_rad, azimuth_rad, cn0_dbhz;
};

// One of `total` sentences; GsvGroups (gsv_groups.h) puts them together.
struct Gsv {
  std::string talker;
  int total = 0, index = 0;  // index 1 .. total
  std::optional<int> satellites_in_view;
  std::vector<SatelliteInView> satellites;  // at most 4
  // 4.10 and newer: which signal the C/N0 are of, 0 .. 15; 0 is "all".
  std::optional<int> signal_id;
};

// Every other sentence: talker and type are known, the rest is not looked at.
struct Other {};

enum class Kind : std::uint8_t { kOther, kGga, kRmc, kGst, kGsv };

struct Sentence {
  // "GP", "GN" … and "GGA" …; makers' own sentences have the talker "P" and
  // all that follows it as type.
  std::string talker, type;
  std::variant<Other, Gga, Rmc, Gst, Gsv> value;  // in the order of Kind

  [[nodiscard]] Kind kind() const { return static_cast<Kind>(value.index()); }
};

// Decodes one whole sentence, from '$' (or '!') to its checksum; a line end
// behind it is allowed.
//
//   errors   kBadChecksum; kBadFormat for what is no sentence, and for a field
//            that is not what it should be; kTruncated for one with too few
//            fields; kOutOfRange for a number that cannot be. `where` is
//            talker and type once they are known, e.g. "GNGGA".
Result<Sentence> parse_sentence(std::string_view text);

// Exclusive or of the characters between '$' and '*'.
std::uint8_t checksum(std::string_view body);

// "$" + body + "*hh\r\n".
std::string frame_sentence(std::string_view body);

}  // namespace stillpoint::nmea
