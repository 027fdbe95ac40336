// Reader of ionosphere maps, IONEX 1.0 and 1.1.
#pragma once

#include <memory>

#include "stillpoint/aids/ionosphere_maps.h"
#include "stillpoint/core/result.h"
#include "stillpoint/pack/byte_stream.h"

namespace stillpoint::products {

struct IonexReaderOptions {
  bool rms = true;  // false: maps of errors are checked, not kept
};

// Reads a whole file of two-dimensional maps: electron content and its errors,
// the code biases of the auxiliary block, and of the header what
// IonosphereProduct names. Epochs are UT and taken as UTC; hour 24 is the next
// day. Every row of a map must lie on the header's grid. Maps of heights are
// stepped over and counted, as are maps of errors at no map's time.
//
//   errors   kBadHeader, kUnsupported (version, three-dimensional maps, rows of
//            different longitudes), kTruncated (no END OF FILE), kTooLarge
//            (grids of more than 1000 by 2000 nodes, 20 million values in all),
//            kNoData (no map), kBadFormat; all with "path:line"
//   source   shared checks section 7 and the files at hand; an EXPONENT inside
//            a map, hour 24 and maps of heights from memory
Result<IonosphereProduct> read_ionex(std::unique_ptr<ByteStream> stream,
                                     IonexReaderOptions options = {});

}  // namespace stillpoint::products
