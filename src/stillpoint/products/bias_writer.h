// Writer of Bias-SINEX files 1.00.
#pragma once

#include "stillpoint/aids/code_phase_biases.h"
#include "stillpoint/core/result.h"
#include "stillpoint/pack/byte_sink.h"

namespace stillpoint::products {

// Writes a whole file; the sink stays open. Biases and slopes have 15 digits,
// their sigmas 6; the first line counts the rows that are there. TIME_SYSTEM is
// written from the product's scale, in its place in the description or, where
// it has none, at the end of it.
//
//   errors   kOutOfRange for text or numbers that do not fit their columns, and
//            what the sink reports
//   source   as read_biases
Status write_biases(const BiasProduct& product, ByteSink& sink);

}  // namespace stillpoint::products
