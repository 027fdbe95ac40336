// Packed bytes for tests, made by libarchive's and zlib's writers.
#pragma once

#include <gtest/gtest.h>

#include <string>
#include <utility>
#include <vector>

#include "stillpoint/pack/byte_stream.h"

namespace stillpoint::test {

enum class Filter { kGzip, kCompress, kBzip2, kZstd, kXz };

std::string packed(const std::string& text, Filter filter);

// A zip of these (name, content) files; a name that ends in '/' is a folder.
std::string zipped(
    const std::vector<std::pair<std::string, std::string>>& files);

// Text of some kilobytes that does not shrink to nothing.
std::string sample_text(std::size_t bytes);

// Reads to the end or the first error, `step` bytes at a time.
struct Drained {
  std::string bytes;
  bool failed = false;
  Error error;
};
Drained drain(ByteStream& stream, std::size_t step = 4096);

}  // namespace stillpoint::test
