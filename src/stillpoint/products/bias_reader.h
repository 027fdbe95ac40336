// Reader of Bias-SINEX files 1.00.
#pragma once

#include <memory>

#include "stillpoint/aids/code_phase_biases.h"
#include "stillpoint/core/result.h"
#include "stillpoint/pack/byte_stream.h"

namespace stillpoint::products {

// Reads a whole file: rows OSB, DSB and ISB of satellites and stations, the
// keywords of BIAS/DESCRIPTION, all other blocks as their lines; comment lines
// are left out. Instants of the file's TIME_SYSTEM come out as GPST (GPS where
// it is not said); 0000:000:00000 is an open end.
//
//   errors   kBadHeader, kUnsupported (version, unit), kTruncated (no %=ENDBIA
//            line), kTooLarge (more than 500 000 rows or kept lines),
//            kBadFormat; all with "path:line"
//   source   "SINEX BIAS: Solution (Software/technique) INdependent EXchange
//            Format for GNSS Biases", 1.00 (2018), columns from shared checks
//            section 7 and the files at hand
Result<BiasProduct> read_biases(std::unique_ptr<ByteStream> stream);

}  // namespace stillpoint::products
