// Reader of RINEX navigation files 2.x, 3.0x and 4.0x.
#pragma once

#include <cstddef>
#include <memory>
#include <string>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/gnss/ephemeris.h"
#include "stillpoint/pack/byte_stream.h"
#include "stillpoint/rinex/observation_reader.h"

namespace stillpoint::rinex {

struct NavigationFile {
  double version = 0;
  NavigationData data;
  // Damaged records that were stepped over: the first
  // ObservationReader::kMaxProblems of them, and how many there were.
  std::vector<Problem> problems;
  std::size_t problem_count = 0;
  std::size_t skipped = 0;  // whole records of kinds we do not use
};

// Reads a whole file.
//
//   errors   kBadHeader, kUnsupported, kTruncated (header only), kTooLarge
//            (more than 200 000 records), and what the stream reports; all with
//            "path:line"
//   source   RINEX 2.11, 3.05 and 4.02
Result<NavigationFile> read_navigation(std::unique_ptr<ByteStream> stream);

}  // namespace stillpoint::rinex
