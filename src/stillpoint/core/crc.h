// Cyclic checksums of the formats we read and write. Each takes the result of
// the bytes before, so that a text may be checked in pieces.
#pragma once

#include <cstdint>

#include "stillpoint/core/bytes.h"

namespace stillpoint {

// CRC-24Q of RTCM 3 frames and SBAS: polynomial 0x1864CFB, start 0, most
// significant bit first, no final inversion.
//
//   source   RTCM 10403.x, frame; check value "123456789" -> CDE703
std::uint32_t crc24q(ByteSpan bytes, std::uint32_t before = 0);

// CRC-32 of Ethernet, gzip and PNG: polynomial 0x04C11DB7 reflected, start and
// final exclusive-or FFFFFFFF.
//
//   source   IEEE 802.3; check value "123456789" -> CBF43926 (from memory)
std::uint32_t crc32(ByteSpan bytes, std::uint32_t before = 0);

// CRC-16-CCITT: polynomial 0x1021, most significant bit first, no final
// inversion. `before` is the start: FFFF here, 0 for the variant that some
// formats and receivers use.
//
//   source   ITU-T V.41; check value "123456789" -> 29B1 with start FFFF, 31C3
//            with start 0 (from memory)
std::uint16_t crc16_ccitt(ByteSpan bytes, std::uint16_t before = 0xFFFF);

}  // namespace stillpoint
