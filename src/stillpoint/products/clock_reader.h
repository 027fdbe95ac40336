// Reader of RINEX clock files, versions 2.00 to 3.04.
#pragma once

#include <memory>

#include "stillpoint/aids/precise_clocks.h"
#include "stillpoint/core/result.h"
#include "stillpoint/pack/byte_stream.h"

namespace stillpoint::products {

struct ClockReaderOptions {
  bool stations = true;  // false: AR records are stepped over
};

// Reads a whole file: AR and AS records with their sigmas and rates, and of
// the header what ClockProduct names. Lines "WL G01 …" among the comments
// become wide_lane. Whether the header's labels stand in column 60 or, as in
// 3.04, in column 65 says which columns names and records have. Records of
// other kinds (CR, DR, MS) and of satellites that are not ours are counted in
// records_left_out. Times of any system come out as GPST; without TIME SYSTEM
// ID they are GPS times.
//
// The format has no mark for its end, so that a file cut between two lines
// cannot be told from a whole one.
//
//   errors   kBadHeader, kUnsupported (version), kTruncated (ends in the header
//            or in the middle of a record), kTooLarge (more than 8 million
//            records), kBadFormat (also for a clock twice at an epoch or times
//            that go back); all with "path:line"
//   source   "RINEX Extensions to Handle Clock Information", 3.00 to 3.04 (IGS,
//            2006 to 2017): columns of records from shared checks section 7
//            and from the files at hand, those of the 3.04 header from memory
Result<ClockProduct> read_clocks(std::unique_ptr<ByteStream> stream,
                                 ClockReaderOptions options = {});

}  // namespace stillpoint::products
