// What came, looked at before it is kept.
#pragma once

#include <filesystem>
#include <string>

#include "stillpoint/core/result.h"

namespace stillpoint::fetch {

struct ContentFacts {
  std::string sha256;  // hexadecimal
  std::uint64_t size_bytes = 0;
};

// Reads a whole file once.
//
//   errors   kIo
//   source   FIPS 180-4, through OpenSSL
Result<ContentFacts> content_facts(const std::filesystem::path& path);

// Whether the bytes can be what the name says: ".gz" is unpacked whole, so that
// its length and checksum are verified; ".Z", ".bz2" and ".zst" begin as such
// files do; any other name is text. A web page is never a product.
//
//   name     of the product; path says where its bytes are
//   errors   kBadFormat (another kind, a web page, nothing), kTruncated (.gz
//            ends early), kBadChecksum (.gz is damaged), kTooLarge (over 4 GB
//            unpacked), kIo
//   source   first bytes: RFC 1952 (gzip), RFC 8878 (zst); .Z and .bz2 from
//            memory
Status check_content(const std::string& name,
                     const std::filesystem::path& path);

}  // namespace stillpoint::fetch
