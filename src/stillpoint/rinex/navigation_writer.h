// Writer of RINEX navigation files 2.11, 3.05 and 4.02.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/gnss/ephemeris.h"
#include "stillpoint/pack/byte_sink.h"
#include "stillpoint/rinex/observation_writer.h"

namespace stillpoint::rinex {

struct NavigationWriterOptions {
  Version version = Version::k402;
  // One system's sets alone. Version 2.11 needs it: GPS, GLONASS or SBAS.
  std::optional<System> only = {};
  // The line PGM / RUN BY / DATE, 20 columns each.
  std::string program = {}, run_by = {}, run_date = {};
  std::vector<std::string> comments = {};  // 60 columns each
  // GPST - UTC; without it the data's own, or no such line.
  std::optional<int> leap_seconds = {};
};

// Writes a whole file, sorted by reference time, then satellite, then message;
// the sink stays open. Numbers have twelve decimals behind the first digit.
//
// A value that is not known (NaN) is a blank field; the marks of the tables
// stand where they have one: -1 for Galileo's accuracy, 0.9999E9 for the
// transmission time of a Kepler set, .999999999999E9 for GLONASS's fifth line,
// and at the start of a line that would have nothing else on it.
//
// What NavigationData does not hold is blank: codes on L2 and the L2 P flag; of
// CNAV the time and week of prediction and the NED1, NED2 indices; of B-CNAV
// the satellite type, the time of prediction, the SISAI and SISMAI indices and
// the integrity flags; of GLONASS the age of the data. The accuracy of CNAV is
// a root of two squares in NavigationData: of the two indices that give it the
// larger one is written as ED. GLONASS's health flags are 0 where no flag is
// set. A usual fit interval of GPS is written as 4 h.
//
// NavigationData does not say who sent the ionosphere parameters: version 4.02
// names the satellite and the time of the system's first set, 3.05 nothing.
// Galileo's storm flags are 0.
//
//   left_out   filled up with what the version has no place for
//   errors     kOutOfRange for header text or numbers that do not fit,
//              kUnsupported for version 2.11 without a system of its own, and
//              what the sink reports
//   source     RINEX 2.11 tables A3-A16; 3.05 and 4.02, tables of the
//              navigation messages (as navigation_records.h)
Status write_navigation(const NavigationData& data,
                        const NavigationWriterOptions& options,
                        ByteSink& sink,
                        LeftOutValues& left_out);

}  // namespace stillpoint::rinex
