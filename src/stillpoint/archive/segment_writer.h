// Lays a segment out: opening, bytes and gaps in the order of the stream,
// closing. It makes bytes and touches no file; what take() gives is appended to
// the file as it is.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "stillpoint/archive/digest.h"
#include "stillpoint/archive/piece.h"
#include "stillpoint/archive/segment_notes.h"

namespace stillpoint::archive {

class SegmentWriter {
 public:
  // Bytes are compressed piece by piece, as they come.
  explicit SegmentWriter(const Opening& opening);

  // The next bytes of the stream.
  void bytes(std::span<const Received> received);
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
  [[nodiscard]] std::size_t room() const;
  void fill_block();
  void put(PieceKind kind, GnssTime time, const BytesBody& body);
  void put_note(PieceKind kind, GnssTime time, std::vector<std::uint8_t> body);
  void note_time(GnssTime time);
  void digest_new();

  std::vector<std::uint8_t> out_;
  std::uint64_t taken_ = 0;   // bytes of the file before out_
  std::size_t digested_ = 0;  // bytes of out_
  std::uint64_t end_offset_;
  bool has_bytes_ = false;
  GnssTime newest_;  // of the last byte
  Closing closing_;
  Sha256 digest_;
};

}  // namespace stillpoint::archive
