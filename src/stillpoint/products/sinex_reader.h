// Reader of SINEX station solutions, versions 1.00 to 2.10.
#pragma once

#include <memory>

#include "stillpoint/aids/site_solution.h"
#include "stillpoint/core/result.h"
#include "stillpoint/pack/byte_stream.h"

namespace stillpoint::products {

struct SinexReaderOptions {
  bool sites = true;  // false: only the phase centres and the first line
};

// Reads a whole file: FILE/REFERENCE and FILE/COMMENT as lines, SITE/ID,
// /RECEIVER, /ANTENNA, /ECCENTRICITY, /GPS_PHASE_CENTER, /GAL_PHASE_CENTER,
// SATELLITE/ID and /PHASE_CENTER, SOLUTION/EPOCHS, and of SOLUTION/ESTIMATE
// positions and velocities of sites. Other blocks, matrices among them, are
// stepped over and cost no memory.
//
// Phase centres of a receiver antenna from both blocks make one antenna: the
// n-th of a type and serial number in one block goes with the n-th in the
// other. Repeats are dropped. A satellite given by its SVN becomes one antenna
// for every number that SATELLITE/ID tells of it.
//
//   times     of the file are taken as UTC and come out as GPST. Files that
//             mean GPST by them come out up to 18 s late
//   errors    kBadHeader, kUnsupported (version), kTruncated (no %ENDSNX line),
//             kTooLarge (more than 500 000 rows, 100 000 antennas, 4 MB of
//             comments), kBadFormat; all with "path:line"
//   source    "SINEX: Solution (Software/technique) INdependent EXchange
//             Format", 2.02 (IERS, 2006), columns from memory and from the
//             column heads of the files at hand
Result<SinexProduct> read_sinex(std::unique_ptr<ByteStream> stream,
                                SinexReaderOptions options = {});

}  // namespace stillpoint::products
