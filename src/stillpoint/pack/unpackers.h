// The streams behind open_unpacked(), one per way of packing. Inside pack
// only.
#pragma once

#include <memory>

#include "stillpoint/core/result.h"
#include "stillpoint/pack/byte_stream.h"
#include "stillpoint/pack/raw_source.h"

namespace stillpoint::pack {

enum class Packing {
  kNone,
  kGzip,
  kCompress,
  kBzip2,
  kZstd,
  kXz,
  kZip,
};

// What the first bytes say; kNone for anything that is no packing. `head`
// should hold 10 bytes where the file has as many.
Packing packing_of(std::span<const char> head);

// gzip through zlib, because its checksum and length are then verified; any
// number of members, zero padding at the end.
std::unique_ptr<ByteStream> gzip_stream(std::unique_ptr<RawSource> source);

// The rest through libarchive. A zip is looked through first: it must hold
// exactly one regular file.
Result<std::unique_ptr<ByteStream>> archive_stream(
    std::unique_ptr<RawSource> source, Packing packing);

}  // namespace stillpoint::pack
