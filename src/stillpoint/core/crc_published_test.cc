// tests/vectors/crc.vec: check values of the checksums.
#include <gtest/gtest.h>

#include <cstdlib>
#include <string>
#include <vector>

#include "stillpoint/core/crc.h"
#include "tests/support/vectors.h"

namespace stillpoint {
namespace {

std::vector<std::uint8_t> bytes_of_hex(const std::string& hex) {
  std::vector<std::uint8_t> bytes;
  for (std::size_t i = 0; i + 1 < hex.size(); i += 2) {
    bytes.push_back(static_cast<std::uint8_t>(
        std::strtoul(hex.substr(i, 2).c_str(), nullptr, 16)));
  }
  return bytes;
}

std::uint32_t checksum(const std::string& name, ByteSpan bytes) {
  if (name == "crc24q") {
    return crc24q(bytes);
  }
  if (name == "crc32") {
    return crc32(bytes);
  }
  return crc16_ccitt(bytes, name == "crc16_ccitt_from_0" ? 0 : 0xFFFF);
}

// kind: published   source and tolerance: in the file
TEST(PublishedCrc, CheckValuesAgree) {
  int blocks = 0;
  for (const test::Block& b : test::read_vectors("crc.vec")) {
    SCOPED_TRACE(b.name);
    const std::string& want = b.expect.at("hex");
    EXPECT_EQ(checksum(b.word("checksum"), bytes_of_hex(b.word("bytes"))),
              std::strtoul(want.c_str(), nullptr, 16));
    ++blocks;
  }
  EXPECT_EQ(blocks, 5);
}

}  // namespace
}  // namespace stillpoint
