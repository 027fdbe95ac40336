// Writer of ANTEX antenna files 1.4.
#pragma once

#include "stillpoint/aids/antenna_patterns.h"
#include "stillpoint/core/result.h"
#include "stillpoint/pack/byte_sink.h"

namespace stillpoint::products {

// Writes a whole file; the sink stays open. Offsets and patterns are printed to
// 0.01 mm, angles to 0.1 degrees.
//
//   errors   kOutOfRange for text or numbers that do not fit their columns and
//            for grids that do not hold as many values as their angles say;
//            what the sink reports
//   source   as read_antex
Status write_antex(const AntennaProduct& product, ByteSink& sink);

}  // namespace stillpoint::products
