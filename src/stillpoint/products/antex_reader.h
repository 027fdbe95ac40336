// Reader of ANTEX antenna files, versions 1.0 to 1.4.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/aids/antenna_patterns.h"
#include "stillpoint/core/result.h"
#include "stillpoint/pack/byte_stream.h"

namespace stillpoint::products {

// What of a file is kept; the rest is stepped over and costs no memory.
struct AntexReaderOptions {
  // Receiver antennas of exactly these types, radome included (blanks at the
  // end do not matter); nothing: all.
  std::optional<std::vector<std::string>> receiver_types;
  bool satellites = true;
  // Satellite antennas that were in use at this instant; nothing: all.
  std::optional<GnssTime> satellites_at;
};

// Reads a whole file. Millimetres and degrees become metres and radians; sigmas
// of the patterns (FREQ RMS) are stepped over. An antenna is a satellite's when
// it has a satellite number (G01) for a serial number and a code (G032) behind.
// The number of frequencies is not held against those that are there.
//
//   errors   kBadHeader, kUnsupported (version), kTruncated (ends within the
//            header or an antenna; between antennas the format has no mark for
//            its end), kTooLarge (more than 20 million values, 100 000
//            antennas), kBadFormat; all with "path:line". Within antennas that
//            are not kept only the ends are looked for
//   source   "ANTEX: The Antenna Exchange Format", 1.4 (IGS, 2010), columns
//            from shared checks section 7 and the files at hand
Result<AntennaProduct> read_antex(std::unique_ptr<ByteStream> stream,
                                  AntexReaderOptions options = {});

}  // namespace stillpoint::products
