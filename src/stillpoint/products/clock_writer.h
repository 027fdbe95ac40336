// Writer of RINEX clock files 3.04.
#pragma once

#include "stillpoint/aids/precise_clocks.h"
#include "stillpoint/core/result.h"
#include "stillpoint/pack/byte_sink.h"

namespace stillpoint::products {

// Writes a whole file; the sink stays open: the header with all that the
// product holds, whatever its version said, and the records by epoch, stations
// before satellites. Clocks have 12 digits. Wide-lane biases become comments as
// the reader knows them.
//
//   errors   kOutOfRange for text or numbers that do not fit their columns,
//            kNoData for a product without clocks, and what the sink reports
//   source   as read_clocks
Status write_clocks(const ClockProduct& product, ByteSink& sink);

}  // namespace stillpoint::products
