#include "stillpoint/rtcm/frame.h"

#include <algorithm>

#include "stillpoint/core/check.h"
#include "stillpoint/core/crc.h"
#include "stillpoint/rtcm/wire.h"

namespace stillpoint::rtcm {

ByteSpan payload_of(ByteSpan frame) {
  return frame.size() < kFrameOverhead
             ? ByteSpan{}
             : frame.subspan(3, frame.size() - kFrameOverhead);
}

bool is_good_frame(ByteSpan frame) {
  if (frame.size() < kFrameOverhead || frame[0] != kPreamble ||
      (frame[1] & 0xFCU) != 0) {
    return false;
  }
  const std::size_t length = (frame[1] & 3U) * 256U + frame[2];
  return frame.size() == length + kFrameOverhead && crc24q(frame) == 0;
}

std::optional<int> message_type(ByteSpan payload) {
  if (payload.size() < 2) {
    return std::nullopt;
  }
  return payload[0] * 16 + payload[1] / 16;
}

std::vector<std::uint8_t> make_frame(ByteSpan payload) {
  STILLPOINT_CHECK(payload.size() <= kMaxPayload);
  std::vector<std::uint8_t> frame(payload.size() + kFrameOverhead);
  frame[0] = kPreamble;
  frame[1] = static_cast<std::uint8_t>(payload.size() >> 8);
  frame[2] = static_cast<std::uint8_t>(payload.size() & 0xFFU);
  std::copy(payload.begin(), payload.end(), frame.begin() + 3);
  const std::uint32_t crc = crc24q(ByteSpan(frame).first(payload.size() + 3));
  const std::size_t at = payload.size() + 3;
  frame[at] = static_cast<std::uint8_t>(crc >> 16);
  frame[at + 1] = static_cast<std::uint8_t>(crc >> 8);
  frame[at + 2] = static_cast<std::uint8_t>(crc);
  return frame;
}

}  // namespace stillpoint::rtcm
