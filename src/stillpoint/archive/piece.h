// A segment is blocks of 32 KiB, a block is pieces one behind the other, with
// zeros to the end of a page where the next begins with a page. A piece never
// leaves its block. Its checksum covers its
// place in the file, the stream, the absolute offset, the receive time and the
// body, so that a stale or misplaced block shows. docs/formats/segment.md has
// the layout.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "stillpoint/archive/frame_packer.h"
#include "stillpoint/core/bytes.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::archive {

inline constexpr std::size_t kBlockSize = 32768;
// What a disk is written by; a block is a whole number of them.
inline constexpr std::size_t kPageSize = 4096;
inline constexpr std::size_t kPieceHead = 36;

enum class PieceKind : std::uint8_t {  // stored; never renumber
  kOpening = 1,
  kBytes = 2,
  kGap = 3,
  kClosing = 4,
};

struct Piece {
  PieceKind kind = PieceKind::kBytes;
  bool packed = false;  // the body is a zstd frame
  std::uint64_t stream = 0;
  std::uint64_t offset = 0;  // of the first byte in the stream
  GnssTime time;             // when that byte was received
  std::uint32_t unpacked_size = 0;
  ByteSpan body;  // as stored

  [[nodiscard]] std::size_t size() const { return kPieceHead + body.size(); }
};

// Appends a piece that stands at `position` of its file.
void encode_piece(const Piece& piece,
                  std::uint64_t position,
                  std::vector<std::uint8_t>& out);

// The piece at the front of the rest of a block; nothing where none is whole
// and good.
std::optional<Piece> decode_piece(ByteSpan rest, std::uint64_t position);

// Bytes that were received together.
struct Received {
  GnssTime time;
  ByteSpan bytes;
};

// How many bytes a mark (time and length of a Received) needs at most.
inline constexpr std::size_t kMarkSize = 16;
// What stands before the marks.
inline constexpr std::size_t kMarksHead = 4;

// The body of a piece of bytes, not packed.
std::vector<std::uint8_t> encode_bytes(std::span<const Received> received);

// The reverse, unpacked with the bytes before it in its block, to which it is
// added. `room` keeps what the spans show.
std::optional<std::vector<Received>> decode_bytes(
    const Piece& piece, BlockPrefix& before, std::vector<std::uint8_t>& room);

// Numbers and texts of the notes, little-endian.
class NoteWriter {
 public:
  void u16(std::uint16_t v) { number(v, 2); }
  void u32(std::uint32_t v) { number(v, 4); }
  void u64(std::uint64_t v) { number(v, 8); }
  void time(GnssTime t) { u64(static_cast<std::uint64_t>(t.ns())); }
  void bytes(ByteSpan b) { out_.insert(out_.end(), b.begin(), b.end()); }
  void text(const std::string& t);  // at most 65535 bytes
  void varint(std::uint64_t v);
  [[nodiscard]] std::size_t size() const { return out_.size(); }
  [[nodiscard]] ByteSpan view() const { return out_; }
  std::vector<std::uint8_t> take() { return std::move(out_); }

 private:
  void number(std::uint64_t v, unsigned size);
  std::vector<std::uint8_t> out_;
};

// Past the end everything reads as 0 and ok() is false for good.
class NoteReader {
 public:
  explicit NoteReader(ByteSpan bytes) : rest_(bytes) {}
  [[nodiscard]] bool ok() const { return ok_; }
  std::uint16_t u16() { return static_cast<std::uint16_t>(number(2)); }
  std::uint32_t u32() { return static_cast<std::uint32_t>(number(4)); }
  std::uint64_t u64() { return number(8); }
  GnssTime time() {
    return GnssTime::from_ns(static_cast<std::int64_t>(u64()));
  }
  ByteSpan bytes(std::size_t count);
  std::string text();
  std::uint64_t varint();
  [[nodiscard]] ByteSpan rest() const { return rest_; }

 private:
  std::uint64_t number(std::size_t size);
  ByteSpan rest_;
  bool ok_ = true;
};

}  // namespace stillpoint::archive
