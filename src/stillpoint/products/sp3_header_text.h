// The header lines of an SP3-d file. Inside this module only.
#pragma once

#include <string>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/products/sp3_writer.h"

namespace stillpoint::products {

// "123.456789" right-aligned, with blanks before it; longer where the number
// is too large for the width.
std::string fixed_text(double value, std::size_t width, int decimals);
std::string whole_text(int value, std::size_t width);
// "2024 11 23  0  0  0.00000000", GPST.
std::string sp3_time_text(GnssTime time);
// Seconds are printed to 10 ns.
bool is_printed_exactly(GnssTime time);

// The whole header, comments included.
//
//   errors   kOutOfRange
Result<std::string> sp3_header_text(const PreciseProduct& product,
                                    const std::vector<SatId>& satellites,
                                    const Sp3WriterOptions& options);

}  // namespace stillpoint::products
