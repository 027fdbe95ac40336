// Ephemeris frames for the tests: those of tests/vectors/rtcm_ephemeris.vec and
// whole captures, and one call for a payload of any of the seven messages.
#pragma once

#include <gtest/gtest.h>

#include <algorithm>
#include <cstdint>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "stillpoint/pack/byte_stream.h"
#include "stillpoint/rtcm/frame.h"
#include "stillpoint/rtcm/raw_ephemeris.h"

namespace stillpoint::rtcm::eph_test {

using Bytes = std::vector<std::uint8_t>;

inline Bytes bytes_of_hex(std::string_view text) {
  constexpr std::string_view kDigits = "0123456789abcdef";
  Bytes bytes;
  for (std::size_t i = 0; i + 1 < text.size(); i += 2) {
    bytes.push_back(static_cast<std::uint8_t>(kDigits.find(text[i]) * 16 +
                                              kDigits.find(text[i + 1])));
  }
  return bytes;
}

// Decodes a payload as the message its number says and hands it on; false for
// other numbers and for a payload that is too short.
template <class Use>
bool with_message(ByteSpan payload, Use use) {
  const auto as = [&](auto message) {
    const bool good = decode_fields(payload, message);
    if (good) {
      use(message);
    }
    return good;
  };
  switch (message_type(payload).value_or(0)) {
    case 1019:
      return as(RawGpsEphemeris{});
    case 1020:
      return as(RawGlonassEphemeris{});
    case 1041:
      return as(RawNavicEphemeris{});
    case 1042:
      return as(RawBeidouEphemeris{});
    case 1044:
      return as(RawQzssEphemeris{});
    case 1045:
    case 1046:
      return as(RawGalileoEphemeris{});
    default:
      return false;
  }
}

// Payloads of all good frames of a byte stream, whatever stands between them.
inline std::vector<Bytes> payloads_in(const Bytes& stream) {
  std::vector<Bytes> found;
  const ByteSpan all(stream);
  for (std::size_t at = 0; at + kFrameOverhead <= all.size();) {
    const std::size_t length = (all[at + 1] & 3U) * 256U + all[at + 2];
    const std::size_t size = length + kFrameOverhead;
    if (size <= all.size() - at && is_good_frame(all.subspan(at, size))) {
      const ByteSpan payload = payload_of(all.subspan(at, size));
      found.emplace_back(payload.begin(), payload.end());
      at += size;
    } else {
      ++at;
    }
  }
  return found;
}

// The body of a chunked HTTP response.
inline Bytes without_chunks(const Bytes& response) {
  const std::string text(response.begin(), response.end());
  Bytes body;
  std::size_t at = text.find("\r\n\r\n") + 4;
  while (at < text.size()) {
    const std::size_t end = text.find("\r\n", at);
    const std::size_t size = std::stoul(text.substr(at, end - at), nullptr, 16);
    if (size == 0 || end + 2 + size > text.size()) {
      break;
    }
    const std::string chunk = text.substr(end + 2, size);
    body.insert(body.end(), chunk.begin(), chunk.end());
    at = end + 2 + size + 2;
  }
  return body;
}

// Payloads of a capture: packed, chunked or as lines of hexadecimal digits.
inline std::vector<Bytes> payloads_of_file(const std::string& path) {
  auto stream = open_unpacked(path);
  EXPECT_TRUE(stream) << path;
  Bytes bytes;
  std::vector<char> part(65536);
  while (stream) {
    const auto count = (*stream)->read(part);
    if (!count || *count == 0) {
      EXPECT_TRUE(count) << path;
      break;
    }
    bytes.insert(bytes.end(),
                 part.begin(),
                 part.begin() + static_cast<std::ptrdiff_t>(*count));
  }
  if (path.ends_with(".hex")) {
    std::vector<Bytes> found;
    const std::string text(bytes.begin(), bytes.end());
    for (std::size_t at = 0; at < text.size();) {
      const std::size_t end = std::min(text.find('\n', at), text.size());
      if (text[at] != '#') {
        for (Bytes& payload :
             payloads_in(bytes_of_hex(text.substr(at, end - at)))) {
          found.push_back(std::move(payload));
        }
      }
      at = end + 1;
    }
    return found;
  }
  return payloads_in(path.ends_with(".http.dat") ? without_chunks(bytes)
                                                 : bytes);
}

}  // namespace stillpoint::rtcm::eph_test
