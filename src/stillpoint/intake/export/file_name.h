// Names of exported files.
#pragma once

#include <optional>
#include <string>

#include "stillpoint/gnss/satellite.h"
#include "stillpoint/intake/export/period.h"
#include "stillpoint/rinex/observation_writer.h"

namespace stillpoint::intake {

struct FileNaming {
  std::string station;  // nine characters: place, marker, receiver, country
  rinex::Version version = rinex::Version::k305;
  bool hatanaka = false;
  bool gzip = false;
  // Where the data come from: S a stream, R a receiver.
  char source = 'S';
};

// Versions 3 and 4: LHOL00XXX_S_20261530000_01D_30S_MO.rnx. The span is a whole
// number of the largest unit that holds it exactly (days, hours, minutes); one
// that no two digits of a unit can say is rounded up.
//
// Version 2: lhol1530.26o (a day), lhol153k.26o (an hour), lhol153k15.26o (what
// begins at another minute, or lasts neither).
//
//   interval_s  of the epochs; nothing: not known ("00U")
//   source      RINEX 3.05 and 4.02, appendix on file names; short names:
//               RINEX 2.11, section 4; the minute behind the hour's letter is
//               common practice, no source
std::string observation_file_name(const FileNaming& naming,
                                  const Period& period,
                                  std::optional<double> interval_s);

//   only  the one system of a file of version 2: GPS (n), GLONASS (g), SBAS (h)
std::string navigation_file_name(const FileNaming& naming,
                                 const Period& period,
                                 std::optional<System> only);

// "01D", "02H", "15M".
std::string period_code(const Period& period);

// "30S", "15M", "01H", "10Z" (hertz), "01C" (a hundred hertz), "00U".
std::string frequency_code(std::optional<double> interval_s);

}  // namespace stillpoint::intake
