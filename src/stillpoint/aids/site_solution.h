// What a station solution (SINEX) says of its sites and satellites: equipment,
// eccentricities, coordinates and phase-centre offsets.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/aids/antenna_patterns.h"
#include "stillpoint/geo/coords.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint {

// To which site a row belongs, and for what time; all of them as printed,
// without blanks at the ends.
struct SiteSpan {
  std::string site;                     // "WTZR"
  std::string point;                    // "A"
  std::string solution;                 // "3"; "----": all of the site
  std::optional<GnssTime> from, until;  // nothing: open, or not told
  friend bool operator==(const SiteSpan&, const SiteSpan&) = default;
};

struct SiteIdentity {
  std::string site, point;
  std::string domes;        // "14201M010"
  std::string description;  // at most 22 characters
  // To a tenth of a second of arc and of a metre; only for orientation.
  std::optional<Geodetic> approximate;
};

struct SiteReceiver {
  SiteSpan at;
  std::string type, serial, firmware;  // serial: first five characters
};

struct SiteAntenna {
  SiteSpan at;
  // 16 columns of type and 4 of radome, as in AntennaPattern.
  std::string type;
  std::string serial;  // first five characters; empty: not told
  // Of the antenna's north mark, from true north to east.
  std::optional<double> north_mark_rad;
};

// From the marker to the antenna's reference point.
struct SiteEccentricity {
  SiteSpan at;
  double up_m = 0, north_m = 0, east_m = 0;
  bool given_as_xyz = false;  // turned into the local frame by the reader
};

struct SiteCoordinate {
  SiteSpan at;  // from, until: of the data behind it
  GnssTime epoch;
  Ecef position_m;
  // One sigma of each component, as the file states it; 0: not told.
  Ecef sigma_m;
  std::optional<Ecef> velocity_mps;  // a year is 365.25 days
  // One sigma; components as in velocity_mps.
  std::optional<Ecef> velocity_sigma_mps;
};

// The content of one SINEX file.
struct SinexProduct {
  std::string source;  // path, for messages
  double version = 2.02;
  std::string agency, data_agency;  // who wrote it, whose data it has
  std::optional<GnssTime> created;
  // Span of the data. Offsets say what was used on those days: one who takes
  // them for another day should be told.
  std::optional<GnssTime> from, until;
  // The format has no field for the frame. Where a file names it at all, it is
  // in these lines (FILE/REFERENCE, FILE/COMMENT).
  std::vector<std::string> reference, comments;
  std::vector<SiteIdentity> sites;
  std::vector<SiteReceiver> receivers;
  std::vector<SiteAntenna> antennas;
  std::vector<SiteEccentricity> eccentricities;
  std::vector<SiteCoordinate> coordinates;
  // Phase centres without variation. Of satellites: `satellite` and `svn`
  // where the file tells them, valid while the satellite had the number, or in
  // the span of the data. sinex_code is the calibration model.
  AntennaProduct offsets;
  // Rows that could not be used: coordinates that lack a component,
  // eccentricities in X, Y, Z of a site without coordinates, satellites of
  // systems that are not ours.
  std::uint64_t records_left_out = 0;

  // The coordinate of a site at an instant: the one whose data hold it, else
  // the one with the reference epoch nearest in time. Nothing where the site
  // has none; of two points of a site the first in the file.
  [[nodiscard]] const SiteCoordinate* coordinate(std::string_view site,
                                                 GnssTime t) const;
};

}  // namespace stillpoint
