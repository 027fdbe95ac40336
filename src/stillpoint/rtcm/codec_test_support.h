// What tests of the station messages and of the legacy observations share.
#pragma once

#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "stillpoint/pack/byte_stream.h"
#include "stillpoint/rtcm/frame.h"
#include "stillpoint/rtcm/wire.h"

namespace stillpoint::rtcm {

using Payload = std::vector<std::uint8_t>;

// Payload of a frame in hex; empty, and the test failed, for a damaged one.
inline Payload payload_of_hex(const std::string& hex) {
  Payload frame;
  for (std::size_t i = 0; i + 1 < hex.size(); i += 2) {
    frame.push_back(
        static_cast<std::uint8_t>(std::stoul(hex.substr(i, 2), nullptr, 16)));
  }
  EXPECT_TRUE(is_good_frame(frame)) << hex;
  const ByteSpan payload = payload_of(frame);
  return {payload.begin(), payload.end()};
}

// Payloads of the whole frames of a file, packed or not, in order.
inline std::vector<Payload> payloads_of_file(const std::string& path) {
  auto stream = open_unpacked(path);
  EXPECT_TRUE(stream.has_value());
  Payload bytes;
  std::vector<char> part(65536);
  for (;;) {
    const auto count = (*stream)->read(part);
    EXPECT_TRUE(count.has_value());
    if (!count || *count == 0) {
      break;
    }
    bytes.insert(bytes.end(),
                 part.begin(),
                 part.begin() + static_cast<std::ptrdiff_t>(*count));
  }
  std::vector<Payload> payloads;
  for (std::size_t at = 0; at + kFrameOverhead <= bytes.size();) {
    const std::size_t size =
        (bytes[at + 1] & 3U) * 256U + bytes[at + 2] + kFrameOverhead;
    const ByteSpan rest = ByteSpan(bytes).subspan(at);
    if (size <= rest.size() && is_good_frame(rest.first(size))) {
      const ByteSpan payload = payload_of(rest.first(size));
      payloads.emplace_back(payload.begin(), payload.end());
      at += size;
    } else {
      ++at;
    }
  }
  return payloads;
}

template <class Message>
Message decoded(ByteSpan payload) {
  Message message;
  EXPECT_TRUE(decode_fields(payload, message));
  return message;
}

// kind: cross   the wire's bits come back, and no shorter payload is taken
template <class Message>
void expect_same_bits(const Payload& payload) {
  EXPECT_EQ(encode_fields(decoded<Message>(payload)), payload);
}
template <class Message>
void expect_refused_when_cut(const Payload& payload) {
  for (std::size_t size = 0; size < payload.size(); ++size) {
    Message message;
    EXPECT_FALSE(decode_fields(ByteSpan(payload).first(size), message))
        << "cut to " << size << " bytes of " << payload.size();
  }
}

}  // namespace stillpoint::rtcm
