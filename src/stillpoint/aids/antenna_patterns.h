// Phase centres of satellite and receiver antennas: offsets and patterns by
// frequency, as calibrations give them, and their effect on a range.
//
//   observed range = range between the reference points
//                    - offset projected on the line of sight
//                    + phase-centre variation in that direction
//
// (sign: shared checks section 7, from memory of ANTEX 1.4). Reference points
// are the satellite's centre of mass and the receiver antenna's reference
// point (ARP). A satellite's line of sight leads to the receiver, a receiver's
// to the satellite.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/gnss/satellite.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint {

// A vector in the antenna's own axes: north, east, up of a receiver antenna;
// X, Y, Z of the satellite's body.
struct AntennaVector {
  double north_or_x = 0, east_or_y = 0, up_or_z = 0;
  friend bool operator==(const AntennaVector&, const AntennaVector&) = default;
};

// Offset and pattern at one frequency ("G01", "C06").
struct AntennaFrequency {
  System system = System::kGps;
  int number = 0;          // digit of the band in RINEX 3 codes
  AntennaVector offset_m;  // of the mean phase centre from the reference point
  // Variation by zenith angle alone [m], from AntennaPattern::zenith_first;
  // empty: only the offset is known.
  std::vector<float> by_zenith_m;
  // Rows of azimuths 0, step … 360 degrees, each as long as the above [m];
  // empty: not calibrated by azimuth.
  std::vector<float> by_azimuth_m;
  friend bool operator==(const AntennaFrequency&,
                         const AntennaFrequency&) = default;
};

// One antenna, or one satellite's antenna for a time.
struct AntennaPattern {
  // "SPDEMO-A1       NONE": 16 columns of type and 4 of radome, blanks at the
  // end cut; a satellite's block.
  std::string type;
  std::string serial;       // a satellite's PRN; empty: all of the type
  std::string svn, cospar;  // of satellites
  // Nothing: a receiver antenna, or (with an svn and without a type) a
  // satellite whose number the file does not tell.
  std::optional<SatId> satellite;
  std::string method, agency, date;  // how calibrated
  int calibrated = 0;                // antennas
  std::string sinex_code;
  std::vector<std::string> comments;
  std::optional<GnssTime> valid_from, valid_until;  // nothing: open
  // Grid. Zenith angles of receivers, nadir angles of satellites.
  double zenith_first_rad = 0, zenith_last_rad = 0, zenith_step_rad = 0;
  double azimuth_step_rad = 0;  // 0: not by azimuth
  std::vector<AntennaFrequency> frequencies;
  friend bool operator==(const AntennaPattern&,
                         const AntennaPattern&) = default;

  // Nothing for a frequency without calibration: what stands in for it is the
  // caller's decision.
  [[nodiscard]] const AntennaFrequency* frequency(System system,
                                                  int number) const;

  // Phase-centre variation [m], to be added to the computed range.
  //
  //   zenith_rad    angle from up (receiver) or from the body's Z (satellite);
  //                 beyond the grid its end is taken
  //   azimuth_rad   any turn; of a receiver from north to east
  //   returns       linear in both angles; by zenith alone where there is no
  //                 pattern by azimuth, 0 where only the offset is known
  [[nodiscard]] double variation_m(const AntennaFrequency& at,
                                   double zenith_rad,
                                   double azimuth_rad) const;

  // Offset and variation together [m], to be added to the computed range
  // between the reference points.
  //
  //   line_of_sight   unit vector away from this antenna, in its own axes
  //   azimuths        of satellites count from +Y to +X: from memory of ANTEX
  //                   1.4, and nothing at hand to check it by
  [[nodiscard]] double range_correction_m(
      const AntennaFrequency& at, const AntennaVector& line_of_sight) const;
};

// The content of one antenna file.
struct AntennaProduct {
  std::string source;  // path, for messages
  double version = 1.4;
  char system = 'M';     // of the file's first line
  bool absolute = true;  // false: relative to the reference antenna
  std::string reference_type, reference_serial;
  std::vector<std::string> comments;
  std::vector<AntennaPattern> antennas;
};

// Antennas by satellite and by type. Of several that fit, the one added first
// counts.
class AntennaPatterns {
 public:
  // Pointers handed out before stay good.
  //
  //   errors   kUnsupported for patterns relative to a reference antenna
  Status add(AntennaProduct product);

  // The antenna that a satellite's number had at an instant of GPST, from
  // valid_from to valid_until, both included.
  [[nodiscard]] const AntennaPattern* satellite(SatId sat, GnssTime t) const;
  // As satellite(); where that has nothing, the antenna of the same number
  // whose validity is nearest in time. It may be another satellite's: the
  // caller decides how many days are too many, and says so.
  //
  //   days_off   how long after the end of the validity t is [d], negative
  //              before its begin, 0 inside; not touched without an antenna
  [[nodiscard]] const AntennaPattern* satellite_nearest(
      SatId sat, GnssTime t, double* days_off = nullptr) const;
  // Exactly this type and radome (blanks at the end do not matter); with a
  // serial number that one's own calibration goes before that of the type.
  // Another radome is never taken: that is the caller's decision.
  [[nodiscard]] const AntennaPattern* receiver(
      std::string_view type, std::string_view serial = {}) const;
  // Every receiver antenna of a type, of any radome and serial number, in the
  // order added. Of `type_16_columns` the first 16 columns count, blanks at
  // their end do not.
  [[nodiscard]] std::vector<const AntennaPattern*> receivers_of_type(
      std::string_view type_16_columns) const;
  [[nodiscard]] std::size_t size() const;

 private:
  std::vector<std::vector<AntennaPattern>> layers_;
};

}  // namespace stillpoint
