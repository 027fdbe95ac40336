// One look at the bytes from a possible start on: is it an RTCM frame, an NMEA
// sentence or a maker's packet? The bytes may still be on their way; a look
// that had to wait says how many it needs, and what it says in the end does
// not depend on how often it was asked.
#pragma once

#include <cstddef>
#include <cstdint>

#include "stillpoint/core/bytes.h"
#include "stillpoint/profile/framing.h"

namespace stillpoint::profile {

// RTCM: D3, six zero bits, ten bits of length, payload, three bytes of CRC.
inline constexpr std::uint8_t kRtcmStart = 0xD3;
inline constexpr std::size_t kRtcmOverhead = 6;
inline constexpr std::size_t kRtcmLongest = 1023 + kRtcmOverhead;

// NMEA 0183 allows 82 characters; receivers exceed that (common practice, no
// source).
inline constexpr std::size_t kNmeaLongest = 512;

struct Verdict {
  enum class Is : std::uint8_t {
    kNothing,     // no candidate, or one that ends without a checksum
    kBad,         // whole, and its checksum does not fit
    kGood,        // whole and good: the first `size` bytes
    kUnfinished,  // at least `size` bytes are needed for another look
  };
  Is is = Is::kNothing;
  std::size_t size = 0;
};

// at[0] is kRtcmStart.
Verdict look_at_rtcm(ByteSpan at);

// at[0] is '$' or '!'.
//
//   resume   0 at the first look; where the next one goes on
Verdict look_at_nmea(ByteSpan at, std::size_t& resume);

// at[0] is the first byte of the framing's sync.
//
//   ended    no more bytes will come
//   resume   as above
Verdict look_at_packet(const MakerFraming& framing,
                       ByteSpan at,
                       bool ended,
                       std::size_t& resume);

// Bytes after which any packet of this framing is decided.
std::size_t longest_look(const MakerFraming& framing);

// True where the checksum at the packet's end fits (or there is none). The
// packet is at least as long as header and checksum.
bool has_good_checksum(const MakerFraming& framing, ByteSpan packet);

}  // namespace stillpoint::profile
