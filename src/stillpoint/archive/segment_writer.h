// Lays a segment out: opening, bytes and gaps in the order of the stream,
// closing. It makes bytes and touches no file; what take() gives is appended to
// the file as it is.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "stillpoint/archive/digest.h"
#include "stillpoint/archive/frame_packer.h"
#include "stillpoint/archive/piece.h"
#include "stillpoint/archive/received_run.h"
#include "stillpoint/archive/segment_notes.h"

namespace stillpoint::archive {

inline constexpr int kDefaultLevel = 3;  // zstd's own default

class SegmentWriter {
 public:
  // Bytes are compressed piece by piece, as they come.
  SegmentWriter(const Opening& opening, int level);

  // The next bytes of the stream, all of them.
  void bytes(std::span<const Received> received);
  // As many of the next bytes as fill whole pages, so that no later write
  // touches these pages again; end_offset() says how many. All of them where
  // they fill no page yet, and where zeros fill the last page at little cost.
  void whole_pages(std::span<const Received> received);
  // Bytes that are not there; from = end_offset().
  void gap(const Gap& gap);
  // The last piece; says the digest, for the next segment's back link.
  Digest close(const Tags& tags, const Counts& counts, bool sealed_later);

  [[nodiscard]] std::uint64_t end_offset() const { return end_offset_; }
  [[nodiscard]] GnssTime last_time() const { return closing_.last_time; }
  [[nodiscard]] bool has_bytes() const { return has_bytes_; }

  // What was laid out since the last call.
  std::vector<std::uint8_t> take();

 private:
  struct BytesPiece {
    ReceivedRun run;
    std::vector<std::uint8_t> plain, stored;
    bool packed = false;
    [[nodiscard]] std::size_t size() const {
      return kPieceHead + stored.size();
    }
  };

  // Up to the end of the block or page; a whole one where that is here.
  [[nodiscard]] std::size_t room(std::size_t unit = kBlockSize) const;
  void fill(std::size_t unit);
  void begin_block_where_one_is_full();
  [[nodiscard]] BytesPiece make(ReceivedRun run) const;
  // Of the front of a run: just so many of its bytes as fit `size`. `whole` is
  // a piece of all that may be tried, and larger than that.
  [[nodiscard]] BytesPiece make_fitting(const BytesPiece& whole,
                                        std::size_t size) const;
  void put(const BytesPiece& piece);
  void put(PieceKind kind,
           GnssTime time,
           ByteSpan body,
           std::size_t unpacked_size,
           bool packed);
  void put_note(PieceKind kind, GnssTime time, ByteSpan body);
  void note_time(GnssTime time);
  void digest_new();

  std::vector<std::uint8_t> out_;
  std::uint64_t taken_ = 0;   // bytes of the file before out_
  std::size_t digested_ = 0;  // bytes of out_
  std::uint64_t end_offset_;
  bool has_bytes_ = false;
  GnssTime newest_;  // of the last byte
  FramePacker packer_;
  BlockPrefix before_;  // in this block
  Closing closing_;
  Sha256 digest_;
};

}  // namespace stillpoint::archive
