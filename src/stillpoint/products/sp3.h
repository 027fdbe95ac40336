// Reader of SP3 orbit files, versions a to d, into PreciseProduct.
#pragma once

#include <memory>
#include <string_view>

#include "stillpoint/aids/precise_orbits.h"
#include "stillpoint/core/result.h"
#include "stillpoint/pack/byte_stream.h"

namespace stillpoint::products {

// Reads a whole file: positions, clocks, flags (clock event, predicted);
// velocity and correlation records are stepped over, as are satellites of
// other kinds (LEO). Zero positions and clocks of 999999 and more are missing
// values. Times of any system come out as GPST.
//
// The format has no mark for what a position refers to. By convention it is
// the satellite's centre of mass; phase-centre orbits are published under
// names that end in ".apc", so such a name, packed or not, gives
// centre_of_mass = false (common practice, no source).
//
//   errors   kBadHeader, kUnsupported (version), kTruncated (no EOF line; the
//            last complete epoch is named), kTooLarge (more than 2 million
//            records), kBadFormat; all with "path:line"
//   source   Hilla, "The Extended Standard Product 3 Orbit Format (SP3-d)",
//            2016
Result<PreciseProduct> read_sp3(std::unique_ptr<ByteStream> stream);

// True for "x.apc", "x.apc.gz", "X.APC.Z" and so on.
bool is_phase_centre_name(std::string_view path);

}  // namespace stillpoint::products
