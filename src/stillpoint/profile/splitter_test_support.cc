#include "stillpoint/profile/splitter_test_support.h"

#include <algorithm>
#include <cstdlib>
#include <random>
#include <sstream>

namespace stillpoint::profile::test {
namespace {

MakerFraming framing_of(std::string name, Bytes sync, ChecksumRule rule) {
  MakerFraming framing;
  framing.name = std::move(name);
  framing.sync = std::move(sync);
  framing.checksum = rule;
  framing.length_offset = framing.sync.size();
  framing.checksum_from = framing.sync.size();
  framing.longest = 700;
  return framing;
}

}  // namespace

Bytes from_hex(std::string_view hex) {
  std::string digits(hex);
  std::erase(digits, ' ');
  Bytes bytes;
  for (std::size_t i = 0; i + 1 < digits.size(); i += 2) {
    bytes.push_back(static_cast<std::uint8_t>(
        std::strtoul(digits.substr(i, 2).c_str(), nullptr, 16)));
  }
  return bytes;
}

Bytes from_text(std::string_view text) {
  return {text.begin(), text.end()};
}

Bytes joined(const std::vector<Bytes>& parts) {
  Bytes whole;
  for (const Bytes& part : parts) {
    whole.insert(whole.end(), part.begin(), part.end());
  }
  return whole;
}

Bytes garbage(std::size_t count, std::uint32_t seed) {
  std::minstd_rand random(seed);
  Bytes bytes(count);
  for (std::uint8_t& byte : bytes) {
    byte = static_cast<std::uint8_t>(random() >> 8 & 0xFFU);
  }
  return bytes;
}

Bytes rtcm_1005() {
  return from_hex("D300133ED7D30202980EDEEF34B4BD62AC0941986F33360B98");
}

std::vector<MakerFraming> strong_rules() {
  MakerFraming fletcher =
      framing_of("fletcher", from_hex("9EC4"), ChecksumRule::kFletcher8);
  fletcher.length_offset = 4;
  fletcher.length_adds = 8;
  MakerFraming crc16 =
      framing_of("crc16", from_hex("9EC5A1"), ChecksumRule::kCrc16);
  crc16.length_little_endian = false;
  crc16.checksum_start = 0xFFFF;
  crc16.checksum_from = 0;
  crc16.length_adds = 7;
  MakerFraming crc24 =
      framing_of("crc24q", from_hex("47"), ChecksumRule::kCrc24q);
  crc24.length_bytes = 1;
  crc24.checksum_little_endian = false;
  crc24.checksum_from = 9;
  crc24.length_adds = 12;
  MakerFraming crc32 =
      framing_of("crc32", from_hex("5A005AFF"), ChecksumRule::kCrc32);
  crc32.length_bytes = 4;
  crc32.length_adds = 0;
  return {fletcher, crc16, crc24, crc32};
}

std::vector<MakerFraming> every_rule() {
  std::vector<MakerFraming> rules = strong_rules();
  MakerFraming exclusive =
      framing_of("xor", from_hex("2440"), ChecksumRule::kXor);
  exclusive.length_adds = 5;
  MakerFraming none = framing_of("none", from_hex("E7E8"), ChecksumRule::kNone);
  none.length_adds = 4;
  none.checksum_from = 0;
  rules.push_back(exclusive);
  rules.push_back(none);
  return rules;
}

std::string Outcome::text() const {
  std::ostringstream out;
  for (const Seen& frame : frames) {
    out << "kind " << static_cast<int>(frame.kind) << " framing "
        << frame.framing << " at " << frame.offset << " size "
        << frame.bytes.size() << "\n";
  }
  out << "bytes " << counts.bytes << " frames " << counts.frames[0] << " "
      << counts.frames[1] << " " << counts.frames[2] << " bad "
      << counts.bad_checksum << " skipped " << counts.skipped_bytes;
  return out.str();
}

void Recorder::on_frame(const StreamFrame& frame) {
  frames.push_back({frame.kind,
                    {frame.bytes.begin(), frame.bytes.end()},
                    frame.offset,
                    frame.framing});
}

Outcome split_at(const Bytes& stream,
                 const std::vector<MakerFraming>& makers,
                 const std::vector<std::size_t>& cuts) {
  StreamSplitter splitter(makers);
  Recorder recorder;
  std::size_t from = 0;
  const auto push_to = [&](std::size_t to) {
    // A copy of its own: a look beyond the piece is found by the sanitizer.
    const Bytes piece(stream.begin() + static_cast<std::ptrdiff_t>(from),
                      stream.begin() + static_cast<std::ptrdiff_t>(to));
    splitter.push(piece, recorder);
    from = to;
  };
  for (const std::size_t cut : cuts) {
    push_to(cut);
  }
  push_to(stream.size());
  splitter.finish(recorder);
  return {std::move(recorder.frames), splitter.counts()};
}

Outcome split(const Bytes& stream, const std::vector<MakerFraming>& makers) {
  return split_at(stream, makers, {});
}

Outcome split_in_pieces(const Bytes& stream,
                        const std::vector<MakerFraming>& makers,
                        std::size_t size) {
  std::vector<std::size_t> cuts;
  for (std::size_t cut = size; cut < stream.size(); cut += size) {
    cuts.push_back(cut);
  }
  return split_at(stream, makers, cuts);
}

std::vector<std::size_t> random_cuts(std::size_t size,
                                     std::size_t longest_piece,
                                     std::uint32_t seed) {
  std::minstd_rand random(seed);
  std::vector<std::size_t> cuts;
  for (std::size_t cut = random() % (longest_piece + 1); cut < size;
       cut += random() % (longest_piece + 1)) {
    cuts.push_back(cut);
  }
  return cuts;
}

}  // namespace stillpoint::profile::test
