#include "stillpoint/archive/piece.h"

#include <algorithm>
#include <array>

#include "stillpoint/core/check.h"
#include "stillpoint/core/crc.h"

namespace stillpoint::archive {
namespace {

constexpr std::uint8_t kPackedFlag = 1;

// Of the place, then everything behind the checksum itself.
std::uint32_t checksum(std::uint64_t position, ByteSpan behind) {
  std::array<std::uint8_t, 8> place{};
  STILLPOINT_CHECK(store_le(position, place));
  return crc32(behind, crc32(place));
}

// Differences of either sign as small unsigned numbers: 0, -1, 1, -2, …
std::uint64_t zigzag(std::uint64_t difference) {
  return (difference << 1U) ^ (std::uint64_t{0} - (difference >> 63U));
}
std::uint64_t unzigzag(std::uint64_t value) {
  return (value >> 1U) ^ (std::uint64_t{0} - (value & 1U));
}

std::uint64_t bits(GnssTime t) {
  return static_cast<std::uint64_t>(t.ns());
}

}  // namespace

void NoteWriter::number(std::uint64_t v, unsigned size) {
  for (unsigned i = 0; i < size; ++i) {
    out_.push_back(static_cast<std::uint8_t>(v >> (8 * i)));
  }
}

void NoteWriter::text(const std::string& t) {
  STILLPOINT_CHECK(t.size() <= 0xFFFF);
  u16(static_cast<std::uint16_t>(t.size()));
  out_.insert(out_.end(), t.begin(), t.end());
}

void NoteWriter::varint(std::uint64_t v) {
  for (; v >= 0x80; v >>= 7U) {
    out_.push_back(static_cast<std::uint8_t>(v | 0x80U));
  }
  out_.push_back(static_cast<std::uint8_t>(v));
}

ByteSpan NoteReader::bytes(std::size_t count) {
  if (count > rest_.size()) {
    ok_ = false;
    rest_ = {};
    return {};
  }
  const ByteSpan taken = rest_.first(count);
  rest_ = rest_.subspan(count);
  return taken;
}

std::uint64_t NoteReader::number(std::size_t size) {
  std::uint64_t value = 0;
  const ByteSpan taken = bytes(size);
  for (std::size_t i = 0; i < taken.size(); ++i) {
    value |= std::uint64_t{taken[i]} << (8 * i);
  }
  return value;
}

std::string NoteReader::text() {
  const ByteSpan taken = bytes(u16());
  return {taken.begin(), taken.end()};
}

std::uint64_t NoteReader::varint() {
  std::uint64_t value = 0;
  for (unsigned shift = 0; shift < 64; shift += 7) {
    const std::uint64_t byte = number(1);
    value |= (byte & 0x7FU) << shift;
    if (byte < 0x80) {
      return value;
    }
  }
  ok_ = false;
  return 0;
}

void encode_piece(const Piece& piece,
                  std::uint64_t position,
                  std::vector<std::uint8_t>& out) {
  STILLPOINT_CHECK(piece.size() <= kBlockSize);
  NoteWriter head;
  head.u16(static_cast<std::uint16_t>(piece.body.size()));
  head.u16(static_cast<std::uint16_t>(
      static_cast<unsigned>(piece.kind) |
      (piece.packed ? unsigned{kPackedFlag} << 8U : 0U)));
  head.u32(piece.unpacked_size);
  head.u64(piece.stream);
  head.u64(piece.offset);
  head.time(piece.time);
  head.bytes(piece.body);
  NoteWriter sum;
  sum.u32(checksum(position, head.view()));
  out.insert(out.end(), sum.view().begin(), sum.view().end());
  out.insert(out.end(), head.view().begin(), head.view().end());
}

std::optional<Piece> decode_piece(ByteSpan rest, std::uint64_t position) {
  NoteReader head(rest);
  const std::uint32_t sum = head.u32();
  const std::uint16_t size = head.u16();
  const std::uint16_t kind_and_flags = head.u16();
  Piece piece;
  piece.unpacked_size = head.u32();
  piece.stream = head.u64();
  piece.offset = head.u64();
  piece.time = head.time();
  piece.body = head.bytes(size);
  const unsigned kind = kind_and_flags & 0xFFU;
  const unsigned flags = kind_and_flags >> 8U;
  const bool bytes = kind == static_cast<unsigned>(PieceKind::kBytes);
  if (!head.ok() || kind < 1 || kind > 4 ||
      flags > (bytes ? unsigned{kPackedFlag} : 0U) ||
      piece.unpacked_size > kBlockSize ||
      checksum(position, rest.subspan(4, kPieceHead - 4 + size)) != sum) {
    return std::nullopt;
  }
  piece.kind = static_cast<PieceKind>(kind);
  piece.packed = flags != 0;
  return piece;
}

std::vector<std::uint8_t> encode_bytes(std::span<const Received> received) {
  NoteWriter writer;
  writer.u32(static_cast<std::uint32_t>(received.size()));
  std::uint64_t before = received.empty() ? 0 : bits(received.front().time);
  for (const Received& r : received) {
    writer.varint(r.bytes.size());
    writer.varint(zigzag(bits(r.time) - before));
    before = bits(r.time);
  }
  for (const Received& r : received) {
    writer.bytes(r.bytes);
  }
  return writer.take();
}

std::optional<std::vector<Received>> decode_bytes(
    const Piece& piece, BlockPrefix& before, std::vector<std::uint8_t>& room) {
  ByteSpan plain = piece.body;
  if (piece.packed) {
    auto unpacked =
        unpack_frame(piece.body, before.view(), piece.unpacked_size);
    if (!unpacked) {
      return std::nullopt;
    }
    room = std::move(*unpacked);
    plain = room;
  }
  if (plain.size() != piece.unpacked_size) {
    return std::nullopt;
  }
  NoteReader reader(plain);
  const std::uint32_t count = reader.u32();
  if (count > plain.size() / 2) {  // a mark has two bytes at least
    return std::nullopt;
  }
  std::vector<std::pair<std::uint64_t, std::uint64_t>> marks;
  std::uint64_t time = bits(piece.time);
  for (std::uint32_t i = 0; i < count; ++i) {
    const std::uint64_t length = reader.varint();
    time += unzigzag(reader.varint());
    marks.emplace_back(time, length);
  }
  std::vector<Received> received;
  for (const auto& [when, length] : marks) {
    if (length > reader.rest().size()) {
      return std::nullopt;
    }
    received.push_back({GnssTime::from_ns(static_cast<std::int64_t>(when)),
                        reader.bytes(static_cast<std::size_t>(length))});
  }
  if (!reader.ok() || !reader.rest().empty()) {
    return std::nullopt;
  }
  before.add(plain);
  return received;
}

}  // namespace stillpoint::archive
