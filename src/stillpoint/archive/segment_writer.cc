#include "stillpoint/archive/segment_writer.h"

#include <algorithm>
#include <utility>

#include "stillpoint/core/check.h"

namespace stillpoint::archive {
namespace {

// Less room than this at the end of a block is filled with zeros.
constexpr std::size_t kLeastRoom = 256;

}  // namespace

SegmentWriter::SegmentWriter(const Opening& opening)
    : end_offset_(opening.offset) {
  closing_.stream = opening.stream;
  closing_.first_offset = opening.offset;
  closing_.first_time = closing_.last_time = newest_ = opening.time;
  put_note(PieceKind::kOpening, opening.time, encode_body(opening));
}

std::size_t SegmentWriter::room() const {
  return kBlockSize -
         static_cast<std::size_t>((taken_ + out_.size()) % kBlockSize);
}

void SegmentWriter::fill_block() {
  out_.resize(out_.size() + room() % kBlockSize);
}

void SegmentWriter::put(PieceKind kind, GnssTime time, const BytesBody& body) {
  Piece piece;
  piece.kind = kind;
  piece.packed = body.packed;
  piece.stream = closing_.stream;
  piece.offset = end_offset_;
  piece.time = time;
  piece.unpacked_size = body.unpacked_size;
  piece.body = body.stored;
  encode_piece(piece, taken_ + out_.size(), out_);
}

void SegmentWriter::put_note(PieceKind kind,
                             GnssTime time,
                             std::vector<std::uint8_t> body) {
  if (kPieceHead + body.size() > room()) {
    fill_block();
  }
  const auto size = static_cast<std::uint32_t>(body.size());
  put(kind, time, {std::move(body), size, false});
}

void SegmentWriter::note_time(GnssTime time) {
  if (!has_bytes_) {
    closing_.first_time = closing_.last_time = newest_ = time;
  }
  closing_.times_go_back = closing_.times_go_back || time < newest_;
  newest_ = time;
  closing_.first_time = std::min(closing_.first_time, time);
  closing_.last_time = std::max(closing_.last_time, time);
  has_bytes_ = true;
}

void SegmentWriter::bytes(std::span<const Received> received) {
  std::size_t at = 0;      // the Received that comes next
  std::size_t inside = 0;  // bytes of it that are laid out
  while (at < received.size()) {
    if (room() < kLeastRoom) {
      fill_block();
    }
    std::size_t left = room() - kPieceHead - kMarksHead;
    std::vector<Received> part;
    std::uint64_t count = 0;
    while (at < received.size() && left > kMarkSize) {
      const ByteSpan rest = received[at].bytes.subspan(inside);
      const std::size_t fits = std::min(rest.size(), left - kMarkSize);
      part.push_back({received[at].time, rest.first(fits)});
      note_time(received[at].time);
      left -= kMarkSize + fits;
      count += fits;
      inside += fits;
      if (inside == received[at].bytes.size()) {
        ++at;
        inside = 0;
      }
    }
    put(PieceKind::kBytes, part.front().time, encode_bytes(part));
    end_offset_ += count;
  }
}

void SegmentWriter::gap(const Gap& gap) {
  STILLPOINT_CHECK(gap.from == end_offset_ && gap.to >= gap.from);
  put_note(PieceKind::kGap, gap.last_before, encode_body(gap));
  end_offset_ = gap.to;
  ++closing_.gap_count;
  if (closing_.gaps.size() < kMostGapsNoted) {
    closing_.gaps.push_back(gap);
  }
}

Digest SegmentWriter::close(const Tags& tags,
                            const Counts& counts,
                            bool sealed_later) {
  STILLPOINT_CHECK(noted_size(tags, counts) <= kMostTagBytes);
  closing_.tags = tags;
  closing_.counts = counts;
  closing_.sealed_later = sealed_later;
  closing_.end_offset = end_offset_;
  // The zeros before it, where it needs a new block, are digested too.
  if (kPieceHead + encode_body(closing_).size() > room()) {
    fill_block();
  }
  digest_new();
  closing_.digest = digest_.value();
  put_note(PieceKind::kClosing, closing_.last_time, encode_body(closing_));
  return closing_.digest;
}

void SegmentWriter::digest_new() {
  digest_.add(ByteSpan(out_).subspan(digested_));
  digested_ = out_.size();
}

std::vector<std::uint8_t> SegmentWriter::take() {
  digest_new();
  digested_ = 0;
  taken_ += out_.size();
  return std::exchange(out_, {});
}

}  // namespace stillpoint::archive
