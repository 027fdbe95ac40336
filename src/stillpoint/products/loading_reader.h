// Reader of ocean-loading coefficients (BLQ).
#pragma once

#include <memory>

#include "stillpoint/aids/loading_tides.h"
#include "stillpoint/core/result.h"
#include "stillpoint/pack/byte_stream.h"

namespace stillpoint::products {

// Reads a whole file: lines that begin with "$$" are comments; a station is a
// line with its name and six rows of eleven numbers, amplitudes [m] radial,
// west, south and phase lags [deg] in the same order. Of the comments are
// taken: the place behind "lon/lat:" and the model (first comment of a station,
// else "Ocean tide model:" before the first), "CMC: YES" or "NO", and
// "COLUMN ORDER:", which must be that of LoadingTides.
//
// The format has no mark for its end: a cut inside a station's rows is told,
// except within the last number.
//
//   errors   kNoData (no station), kTruncated (ends in a station), kUnsupported
//            (another order of columns), kTooLarge (more than 20 000
//            stations), kBadFormat; all with "path:line"
//   source   comments of a BLQ file as the loading service computes it, and
//            shared checks section 2.2; "CMC" from memory
Result<LoadingProduct> read_loading(std::unique_ptr<ByteStream> stream);

}  // namespace stillpoint::products
