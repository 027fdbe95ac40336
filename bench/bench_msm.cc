// msm_decode_epoch    MSM7 payloads of five systems to an Epoch, loss of lock
//                     and all (what a Decoder does with them)
// msm_decode_raw      the same to raw integers
// msm_crc24q          one CRC-24Q pass over the same frames, table by 8: what
//                     it is measured against
// msm_crc24q_bytes    the same with a table by single bytes
//
// Input: the week roll-over capture (1126 epochs of MSM7 of GPS, GLONASS,
// Galileo, QZSS and BeiDou from a real receiver, 2.1 MB), found through
// STILLPOINT_DATA; without it the cases say so and end.
// Budget: msm_decode_epoch at most 5 x msm_crc24q.
#include <benchmark/benchmark.h>

#include <array>
#include <cstdlib>
#include <string>
#include <vector>

#include "stillpoint/core/crc.h"
#include "stillpoint/pack/byte_stream.h"
#include "stillpoint/profile/splitter.h"
#include "stillpoint/rtcm/decoder.h"
#include "stillpoint/rtcm/frame.h"
#include "stillpoint/rtcm/raw_msm.h"

namespace {

using namespace stillpoint;

class Collect final : public profile::FrameSink {
 public:
  void on_frame(const profile::StreamFrame& frame) override {
    const ByteSpan payload = rtcm::payload_of(frame.bytes);
    const auto type = rtcm::message_type(payload);
    if (type && rtcm::msm_type(*type)) {
      frames.emplace_back(frame.bytes.begin(), frame.bytes.end());
    }
  }
  std::vector<std::vector<std::uint8_t>> frames;
};

const std::vector<std::vector<std::uint8_t>>& frames() {
  static const auto loaded = [] {
    Collect collect;
    const char* root = std::getenv("STILLPOINT_DATA");
    if (root == nullptr) {
      return collect.frames;
    }
    auto stream =
        open_unpacked(std::string(root) + "/rtcm/msm7-week-rollover.rtcm3.gz");
    profile::StreamSplitter splitter;
    std::vector<char> piece(65536);
    while (stream) {
      const auto n = (*stream)->read(piece);
      if (!n || *n == 0) {
        break;
      }
      splitter.push({reinterpret_cast<const std::uint8_t*>(piece.data()), *n},
                    collect);
    }
    return collect.frames;
  }();
  return loaded;
}

bool ready(benchmark::State& state) {
  if (frames().empty()) {
    state.SkipWithError("no data: set STILLPOINT_DATA");
  }
  return !frames().empty();
}

class CountRows final : public rtcm::DecoderSink {
 public:
  void on_epoch(const Epoch& epoch, rtcm::EpochOrigin /*origin*/) override {
    rows += epoch.observations.size();
  }
  std::size_t rows = 0;
};

void msm_decode_epoch(benchmark::State& state) {
  if (!ready(state)) {
    return;
  }
  const GnssTime day = GnssTime::from_gps_week(2010, 0);
  for (auto _ : state) {
    CountRows sink;
    rtcm::Decoder decoder({.day = day, .era = day}, sink);
    for (const auto& frame : frames()) {
      decoder.push(rtcm::payload_of(frame));
    }
    benchmark::DoNotOptimize(sink.rows);
  }
}
BENCHMARK(msm_decode_epoch)->Unit(benchmark::kMillisecond);

void msm_decode_raw(benchmark::State& state) {
  if (!ready(state)) {
    return;
  }
  rtcm::RawMsm msm;
  for (auto _ : state) {
    for (const auto& frame : frames()) {
      benchmark::DoNotOptimize(rtcm::decode_msm(rtcm::payload_of(frame), msm));
    }
  }
}
BENCHMARK(msm_decode_raw)->Unit(benchmark::kMillisecond);

void msm_crc24q(benchmark::State& state) {
  if (!ready(state)) {
    return;
  }
  for (auto _ : state) {
    std::uint32_t sum = 0;
    for (const auto& frame : frames()) {
      sum += crc24q(frame);
    }
    benchmark::DoNotOptimize(sum);
  }
}
BENCHMARK(msm_crc24q)->Unit(benchmark::kMillisecond);

std::array<std::uint32_t, 256> byte_table() {
  std::array<std::uint32_t, 256> table{};
  for (std::uint32_t i = 0; i < 256; ++i) {
    std::uint32_t crc = i << 16;
    for (int bit = 0; bit < 8; ++bit) {
      crc = (crc << 1) ^ ((crc & 0x800000U) != 0 ? 0x1864CFBU : 0);
    }
    table[i] = crc & 0xFFFFFFU;
  }
  return table;
}

void msm_crc24q_bytes(benchmark::State& state) {
  if (!ready(state)) {
    return;
  }
  const auto table = byte_table();
  for (auto _ : state) {
    std::uint32_t sum = 0;
    for (const auto& frame : frames()) {
      std::uint32_t crc = 0;
      for (const std::uint8_t byte : frame) {
        crc = ((crc << 8) & 0xFFFFFFU) ^ table[(crc >> 16) ^ byte];
      }
      sum += crc;
    }
    benchmark::DoNotOptimize(sum);
  }
}
BENCHMARK(msm_crc24q_bytes)->Unit(benchmark::kMillisecond);

}  // namespace
