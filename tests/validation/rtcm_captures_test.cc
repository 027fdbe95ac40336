// Every recorded RTCM stream that we have: nothing is lost, everything with a
// good CRC decodes or is named opaque, and comes back bit for bit.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <random>
#include <set>
#include <string>
#include <vector>

#include "stillpoint/geo/coords.h"
#include "stillpoint/intake/survey.h"
#include "stillpoint/ntrip/chunked.h"
#include "stillpoint/pack/byte_stream.h"
#include "stillpoint/profile/splitter.h"
#include "stillpoint/rtcm/frame.h"
#include "stillpoint/rtcm/message_names.h"
#include "stillpoint/rtcm/raw_msm.h"
#include "tests/support/test_data.h"

namespace stillpoint {
namespace {

using Bytes = std::vector<std::uint8_t>;

constexpr const char* kCaptures[] = {"legacy-beside-msm7.rtcm3",
                                     "mixed-short.rtcm3",
                                     "mixed-station-stream.rtcm3",
                                     "msm7-five-systems.rtcm3.gz",
                                     "msm7-week-rollover.rtcm3.gz",
                                     "ssr-1240-1264.rtcm3",
                                     "ssr-3epochs.rtcm3.gz",
                                     "ssr-4076.rtcm3",
                                     "system-params-1300-1302.rtcm3"};

Bytes read_all(const std::string& path) {
  Bytes all;
  auto stream = open_unpacked(path);
  std::vector<char> piece(1 << 16);
  while (stream) {
    const auto n = (*stream)->read(piece);
    if (!n || *n == 0) {
      break;
    }
    all.insert(all.end(), piece.begin(), piece.begin() + static_cast<long>(*n));
  }
  return all;
}

// CRC-24Q bit by bit, as the standard defines it; shares nothing with ours.
std::uint32_t slow_crc(ByteSpan bytes) {
  std::uint32_t crc = 0;
  for (const std::uint8_t byte : bytes) {
    crc ^= static_cast<std::uint32_t>(byte) << 16;
    for (int i = 0; i < 8; ++i) {
      crc <<= 1;
      if ((crc & 0x1000000U) != 0) {
        crc ^= 0x1864CFBU;
      }
    }
  }
  return crc;
}

struct Scan {
  std::map<int, std::uint64_t> types;  // -1: frames of length 0
  std::vector<ByteSpan> frames;
  std::uint64_t bad = 0, skipped = 0;
};

// The independent scan: from left to right, a frame with a good CRC is taken
// whole, everything else one byte at a time.
Scan scan(const Bytes& bytes) {
  Scan s;
  for (std::size_t i = 0; i < bytes.size();) {
    if (bytes[i] == 0xD3 && i + 2 < bytes.size() && bytes[i + 1] < 4) {
      const std::size_t size = bytes[i + 1] * 256U + bytes[i + 2] + 6U;
      if (i + size <= bytes.size()) {
        const ByteSpan frame = ByteSpan(bytes).subspan(i, size);
        if (slow_crc(frame) == 0) {
          ++s.types[size < 8 ? -1 : frame[3] * 16 + frame[4] / 16];
          s.frames.push_back(frame);
          i += size;
          continue;
        }
        ++s.bad;
      }
    }
    ++s.skipped;
    ++i;
  }
  return s;
}

intake::SurveyReport survey(const Bytes& bytes) {
  intake::Survey s(
      {.decoder = {.day = {}, .era = GnssTime::from_gps_week(2340, 0)},
       .framings = {}});
  s.push(bytes);
  s.finish();
  return s.report(std::nullopt);
}

void expect_equal(const std::string& name, const Bytes& bytes) {
  SCOPED_TRACE(name);
  const Scan wanted = scan(bytes);
  const intake::SurveyReport got = survey(bytes);
  std::map<int, std::uint64_t> types;
  std::uint64_t frames = 0, decoded = 0;
  for (const intake::MessageReport& m : got.messages) {
    types[m.type.value_or(-1)] = m.count;
    frames += m.count;
    decoded += m.decoded ? m.count : 0;
    // 1043 and 1240 to 1270 are proposals that streams carry already.
    if (m.type && !m.decoded && *m.type != 1043 &&
        (*m.type < 1240 || *m.type > 1270)) {
      EXPECT_NE(rtcm::message_name(*m.type), nullptr) << *m.type;
    }
  }
  EXPECT_EQ(types, wanted.types);
  EXPECT_EQ(got.bad_crc, wanted.bad);
  EXPECT_EQ(got.malformed, 0U);
  std::printf("| %s | %zu | %lu | %lu | %lu | %lu | %lu |\n",
              name.c_str(),
              bytes.size(),
              frames,
              decoded,
              frames - decoded,
              got.bad_crc,
              got.skipped_bytes);
}

// kind: cross, an independent scan of the same bytes   tolerance: 0 frames
TEST(RtcmCaptures, EveryFrameIsFoundAndDecodesOrIsNamed) {
  std::printf(
      "| capture | bytes | frames | decoded | opaque | bad | skipped "
      "bytes |\n");
  for (const char* name : kCaptures) {
    const std::string path =
        STILLPOINT_DATA_OR_SKIP(std::string("rtcm/") + name);
    expect_equal(name, read_all(path));
  }
}

class Offsets final : public profile::FrameSink {
 public:
  void on_frame(const profile::StreamFrame& frame) override {
    if (frame.kind == profile::FrameKind::kRtcm) {
      found[frame.offset] = {frame.bytes.begin(), frame.bytes.end()};
    }
  }
  std::map<std::uint64_t, Bytes> found;
};

// Frames by offset, and whether the counts are those of the independent scan.
std::map<std::uint64_t, Bytes> split(const Bytes& bytes) {
  Offsets offsets;
  profile::StreamSplitter splitter;
  splitter.push(bytes, offsets);
  splitter.finish(offsets);
  const Scan wanted = scan(bytes);
  EXPECT_EQ(offsets.found.size(), wanted.frames.size());
  EXPECT_EQ(splitter.counts().bad_checksum, wanted.bad);
  EXPECT_EQ(splitter.counts().skipped_bytes, wanted.skipped);
  return offsets.found;
}

// kind: cross, an independent scan of the damaged bytes   tolerance: 0 frames
TEST(RtcmCaptures, OfDamagedBytesEveryUntouchedFrameIsFound) {
  const std::string path =
      STILLPOINT_DATA_OR_SKIP("rtcm/mixed-station-stream.rtcm3");
  const Bytes bytes = read_all(path);
  const auto whole = split(bytes);
  ASSERT_EQ(whole.size(), 35U);
  for (std::size_t i = 0; i < bytes.size(); ++i) {
    Bytes damaged = bytes;
    damaged[i] ^= 0xFFU;
    const auto found = split(damaged);
    for (const auto& [offset, frame] : whole) {
      const bool touched = i >= offset && i < offset + frame.size();
      ASSERT_TRUE(touched || found.contains(offset)) << i << ' ' << offset;
    }
  }
}

// kind: cross, as above; the frames are told by their bytes
TEST(RtcmCaptures, InsertedAndMissingBytesCostOnlyTheFramesTheyHit) {
  const std::string path =
      STILLPOINT_DATA_OR_SKIP("rtcm/mixed-station-stream.rtcm3");
  const Bytes bytes = read_all(path);
  const auto whole = split(bytes);
  std::mt19937 random(20260301);
  for (int round = 0; round < 2000; ++round) {
    const std::size_t at = random() % bytes.size();
    const std::size_t count = 1 + random() % 40;
    Bytes damaged(bytes.begin(), bytes.begin() + static_cast<long>(at));
    std::size_t gone = 0;
    if (round % 2 == 0) {
      for (std::size_t i = 0; i < count; ++i) {
        damaged.push_back(static_cast<std::uint8_t>(random()));
      }
    } else {
      gone = std::min(count, bytes.size() - at);
    }
    damaged.insert(damaged.end(),
                   bytes.begin() + static_cast<long>(at + gone),
                   bytes.end());
    std::multiset<Bytes> found;
    for (const auto& [offset, frame] : split(damaged)) {
      found.insert(frame);
    }
    for (const auto& [offset, frame] : whole) {
      const bool before = offset + frame.size() <= at;
      const bool behind = offset >= at + gone;
      ASSERT_TRUE((!before && !behind) || found.contains(frame))
          << round << ' ' << at << ' ' << offset;
    }
  }
}

// kind: cross   An NTRIP 2 answer: its body is chunked.
TEST(RtcmCaptures, AChunkedAnswerHoldsWholeFrames) {
  const std::string path =
      STILLPOINT_DATA_OR_SKIP("rtcm/ntrip2-chunked-eph.http.dat");
  const Bytes answer = read_all(path);
  constexpr std::string_view kEnd = "\r\n\r\n";
  const auto head =
      std::search(answer.begin(), answer.end(), kEnd.begin(), kEnd.end());
  ASSERT_NE(head, answer.end());
  ntrip::ChunkedDecoder chunks;
  Bytes body;
  ByteSpan rest = ByteSpan(answer).subspan(
      static_cast<std::size_t>(head - answer.begin()) + kEnd.size());
  while (true) {
    const auto piece = chunks.next(rest);
    ASSERT_TRUE(piece);
    if (piece->empty()) {
      break;
    }
    body.insert(body.end(), piece->begin(), piece->end());
  }
  expect_equal("ntrip2-chunked-eph", body);
  EXPECT_GT(scan(body).frames.size(), 100U);
}

// kind: cross, encode of decode   tolerance: 0, the same bits
TEST(RtcmCaptures, EveryMsmComesBackBitForBit) {
  std::size_t count = 0;
  for (const char* name : kCaptures) {
    const std::string path =
        STILLPOINT_DATA_OR_SKIP(std::string("rtcm/") + name);
    const Bytes bytes = read_all(path);
    for (const ByteSpan frame : scan(bytes).frames) {
      rtcm::RawMsm msm;
      if (frame.size() < 8 || !rtcm::msm_type(frame[3] * 16 + frame[4] / 16)) {
        continue;
      }
      ASSERT_TRUE(rtcm::decode_msm(rtcm::payload_of(frame), msm)) << name;
      const auto back = rtcm::make_frame(rtcm::encode_msm(msm));
      ASSERT_TRUE(
          std::equal(back.begin(), back.end(), frame.begin(), frame.end()))
          << name;
      ++count;
    }
  }
  EXPECT_GT(count, 5000U);
}

// Epochs by time, of MSM and of the messages before it.
class BothRoads final : public intake::StreamSink {
 public:
  void on_epoch(const Epoch& epoch, rtcm::EpochOrigin origin) override {
    (origin.legacy ? legacy : msm)[epoch.time] = epoch;
  }
  std::map<GnssTime, Epoch> msm, legacy;
};

const Observation* find(const Epoch& epoch, SatId sat, SignalCode signal) {
  for (const SatRows& rows : epoch.satellites) {
    for (const Observation& row : epoch.rows(rows)) {
      if (rows.sat == sat && row.signal == signal) {
        return &row;
      }
    }
  }
  return nullptr;
}

// kind: cross, the same receiver's ranges in 1004/1012 and in 1077/1087
// tolerance: code 0.02 m steps of the older messages, half of it from rounding
// each of code and difference; phase 0.0005 m steps likewise, up to whole
// cycles
TEST(RtcmCaptures, LegacyAndMsmHoldTheSameRanges) {
  const std::string path =
      STILLPOINT_DATA_OR_SKIP("rtcm/legacy-beside-msm7.rtcm3");
  BothRoads roads;
  intake::StreamReader reader(
      {.decoder = {.day = GnssTime::from_gps_week(2200, 378'000), .era = {}},
       .framings = {}},
      roads);
  reader.push(read_all(path));
  reader.finish();
  ASSERT_EQ(roads.msm.size(), 34U);
  ASSERT_EQ(roads.legacy.size(), 34U);
  std::size_t codes = 0, phases = 0;
  double worst_code_m = 0, worst_phase_m = 0;
  for (const auto& [time, legacy] : roads.legacy) {
    ASSERT_TRUE(roads.msm.contains(time));
    const Epoch& msm = roads.msm.at(time);
    for (const SatRows& rows : legacy.satellites) {
      for (const Observation& row : legacy.rows(rows)) {
        const Observation* other = find(msm, rows.sat, row.signal);
        if (other == nullptr) {
          continue;
        }
        if (is_present(row.code_m) && is_present(other->code_m)) {
          ++codes;
          worst_code_m =
              std::max(worst_code_m, std::abs(row.code_m - other->code_m));
        }
        if (is_present(row.phase_cyc) && is_present(other->phase_cyc)) {
          ++phases;
          const double off = row.phase_cyc - other->phase_cyc;
          worst_phase_m =
              std::max(worst_phase_m, std::abs(off - std::round(off)) * 0.25);
        }
      }
    }
  }
  std::printf("%zu codes within %.4f m, %zu phases within %.5f m\n",
              codes,
              worst_code_m,
              phases,
              worst_phase_m);
  EXPECT_GT(codes, 500U);
  EXPECT_GT(phases, 500U);
  EXPECT_LE(worst_code_m, 0.0201);
  EXPECT_LE(worst_phase_m, 0.0005);
}

}  // namespace
}  // namespace stillpoint
