// splitter_whole      a minute of a station's stream in one push
// splitter_chunks     the same in pieces of 1460 bytes, as TCP brings it
// splitter_small      the same in pieces of 64 bytes, as a serial line does
// splitter_makers     a maker's packets (CRC-32) between the frames, one push
// splitter_garbage    bytes without any frame, one push
// splitter_crc24q     one CRC-24Q pass over the same bytes, what it is
//                     measured against
// splitter_memcpy     one copy of the same bytes
//
// Input, made up: sixty seconds of a five-system station at 1 Hz, each with
// RTCM frames of MSM7 size (five of 872, 305, 644, 791 and 230 bytes of
// payload; contents are noise), a 1005 frame every ten seconds and four NMEA
// sentences of some 70 bytes: 189 kB, 9 % of them NMEA.
#include <benchmark/benchmark.h>

#include <algorithm>
#include <array>
#include <cstdint>
#include <cstring>
#include <random>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/core/crc.h"
#include "stillpoint/profile/splitter.h"

namespace {

using stillpoint::ByteSpan;
using namespace stillpoint::profile;
using Bytes = std::vector<std::uint8_t>;

void append_low_bytes(Bytes& stream, std::uint32_t value, int from_bit) {
  for (int bit = from_bit; bit >= 0; bit -= 8) {
    stream.push_back(static_cast<std::uint8_t>(value >> bit & 0xFFU));
  }
}

void append_noise(Bytes& stream, std::size_t count, std::minstd_rand& random) {
  for (std::size_t i = 0; i < count; ++i) {
    stream.push_back(static_cast<std::uint8_t>(random() >> 8 & 0xFFU));
  }
}

void append_frame(Bytes& stream,
                  std::size_t payload,
                  std::minstd_rand& random) {
  const std::size_t begin = stream.size();
  stream.push_back(0xD3);
  append_low_bytes(stream, static_cast<std::uint32_t>(payload), 8);
  append_noise(stream, payload, random);
  const std::uint32_t crc = stillpoint::crc24q(ByteSpan(stream).subspan(begin));
  append_low_bytes(stream, crc, 16);
}

void append_sentence(Bytes& stream, std::string_view body) {
  constexpr std::string_view kDigits = "0123456789ABCDEF";
  std::uint8_t sum = 0;
  stream.push_back('$');
  for (const char c : body) {
    stream.push_back(static_cast<std::uint8_t>(c));
    sum = static_cast<std::uint8_t>(sum ^ stream.back());
  }
  const std::string end =
      std::string("*") + kDigits[sum / 16U] + kDigits[sum % 16U] + "\r\n";
  stream.insert(stream.end(), end.begin(), end.end());
}

MakerFraming maker() {
  MakerFraming framing;
  framing.name = "packet";
  framing.sync = {0x9E, 0xC4};
  framing.length_offset = 2;
  framing.length_adds = 8;
  framing.checksum = ChecksumRule::kCrc32;
  framing.checksum_from = 2;
  return framing;
}

void append_packet(Bytes& stream,
                   std::size_t payload,
                   std::minstd_rand& random) {
  const std::size_t begin = stream.size();
  stream.insert(stream.end(),
                {0x9E,
                 0xC4,
                 static_cast<std::uint8_t>(payload & 0xFFU),
                 static_cast<std::uint8_t>(payload >> 8)});
  append_noise(stream, payload, random);
  std::uint32_t crc = stillpoint::crc32(ByteSpan(stream).subspan(begin + 2));
  for (int i = 0; i < 4; ++i, crc >>= 8) {
    stream.push_back(static_cast<std::uint8_t>(crc & 0xFFU));
  }
}

Bytes minute(bool with_packets) {
  constexpr std::array<std::size_t, 5> kPayloads = {872, 305, 644, 791, 230};
  Bytes stream;
  std::minstd_rand random(1);
  for (int second = 0; second < 60; ++second) {
    for (const std::size_t payload : kPayloads) {
      append_frame(stream, payload, random);
    }
    if (second % 10 == 0) {
      append_frame(stream, 19, random);
    }
    for (const char* talker : {"GP", "GA", "GB", "GL"}) {
      append_sentence(stream,
                      std::string(talker) +
                          "GGA,123519.00,4718.00000,N,00854.00000,E,7,12,0.9,"
                          "512.0,M,46.9,M,,");
    }
    if (with_packets) {
      append_packet(stream, 500, random);
    }
  }
  return stream;
}

class Count final : public FrameSink {
 public:
  void on_frame(const StreamFrame& frame) override {
    bytes += frame.bytes.size();
  }
  std::size_t bytes = 0;
};

void push_all(benchmark::State& state,
              const Bytes& stream,
              std::size_t piece,
              std::vector<MakerFraming> makers,
              bool all_frames = true) {
  StreamSplitter splitter(std::move(makers));
  Count count;
  for (auto _ : state) {
    count.bytes = 0;
    for (ByteSpan rest = stream; !rest.empty();) {
      const std::size_t size = std::min(piece, rest.size());
      splitter.push(rest.first(size), count);
      rest = rest.subspan(size);
    }
    splitter.finish(count);
    benchmark::DoNotOptimize(count.bytes);
  }
  if (all_frames && count.bytes != stream.size()) {
    state.SkipWithError("frames were lost");
  }
  state.SetBytesProcessed(state.iterations() *
                          static_cast<std::int64_t>(stream.size()));
}

void splitter_whole(benchmark::State& state) {
  const Bytes stream = minute(false);
  push_all(state, stream, stream.size(), {});
}
BENCHMARK(splitter_whole)->Unit(benchmark::kMicrosecond);

void splitter_chunks(benchmark::State& state) {
  push_all(state, minute(false), 1460, {});
}
BENCHMARK(splitter_chunks)->Unit(benchmark::kMicrosecond);

void splitter_small(benchmark::State& state) {
  push_all(state, minute(false), 64, {});
}
BENCHMARK(splitter_small)->Unit(benchmark::kMicrosecond);

void splitter_makers(benchmark::State& state) {
  const Bytes stream = minute(true);
  push_all(state, stream, stream.size(), {maker()});
}
BENCHMARK(splitter_makers)->Unit(benchmark::kMicrosecond);

void splitter_garbage(benchmark::State& state) {
  Bytes stream;
  std::minstd_rand random(2);
  append_noise(stream, minute(false).size(), random);
  push_all(state, stream, stream.size(), {}, false);
}
BENCHMARK(splitter_garbage)->Unit(benchmark::kMicrosecond);

void splitter_crc24q(benchmark::State& state) {
  const Bytes stream = minute(false);
  for (auto _ : state) {
    std::uint32_t crc = stillpoint::crc24q(stream);
    benchmark::DoNotOptimize(crc);
  }
  state.SetBytesProcessed(state.iterations() *
                          static_cast<std::int64_t>(stream.size()));
}
BENCHMARK(splitter_crc24q)->Unit(benchmark::kMicrosecond);

void splitter_memcpy(benchmark::State& state) {
  const Bytes stream = minute(false);
  Bytes copy(stream.size());
  for (auto _ : state) {
    std::memcpy(copy.data(), stream.data(), stream.size());
    benchmark::DoNotOptimize(copy.data());
    benchmark::ClobberMemory();
  }
  state.SetBytesProcessed(state.iterations() *
                          static_cast<std::int64_t>(stream.size()));
}
BENCHMARK(splitter_memcpy)->Unit(benchmark::kMicrosecond);

}  // namespace
