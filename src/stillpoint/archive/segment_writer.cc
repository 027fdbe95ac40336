#include "stillpoint/archive/segment_writer.h"

#include <algorithm>
#include <utility>

#include "stillpoint/core/check.h"

namespace stillpoint::archive {
namespace {

// Less room than this at the end of a block or page is filled with zeros.
constexpr std::size_t kLeastRoom = 256;
// Zeros may take so little of what was written, as one in so many bytes. Where
// the alternative is to write a page twice they may take more room of the disk.
constexpr std::size_t kPaddingShare = 8;
constexpr std::size_t kPaddingShareOfOnePage = 2;
// A piece that is made to fit leaves at most so much, or was tried often.
constexpr std::size_t kSlack = 32;
constexpr int kMostTries = 8;

}  // namespace

SegmentWriter::SegmentWriter(const Opening& opening, int level)
    : end_offset_(opening.offset), packer_(level) {
  closing_.stream = opening.stream;
  closing_.first_offset = opening.offset;
  closing_.first_time = closing_.last_time = newest_ = opening.time;
  put_note(PieceKind::kOpening, opening.time, encode_body(opening));
}

std::size_t SegmentWriter::room(std::size_t unit) const {
  return unit - static_cast<std::size_t>((taken_ + out_.size()) % unit);
}

void SegmentWriter::fill(std::size_t unit) {
  out_.resize(out_.size() + room(unit) % unit);
  begin_block_where_one_is_full();
}

void SegmentWriter::begin_block_where_one_is_full() {
  if (room() == kBlockSize) {
    before_.clear();
  }
}

void SegmentWriter::put(PieceKind kind,
                        GnssTime time,
                        ByteSpan body,
                        std::size_t unpacked_size,
                        bool packed) {
  Piece piece;
  piece.kind = kind;
  piece.packed = packed;
  piece.stream = closing_.stream;
  piece.offset = end_offset_;
  piece.time = time;
  piece.unpacked_size = static_cast<std::uint32_t>(unpacked_size);
  piece.body = body;
  encode_piece(piece, taken_ + out_.size(), out_);
  begin_block_where_one_is_full();
}

void SegmentWriter::put_note(PieceKind kind, GnssTime time, ByteSpan body) {
  if (kPieceHead + body.size() > room()) {
    fill(kBlockSize);
  }
  put(kind, time, body, body.size(), false);
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

SegmentWriter::BytesPiece SegmentWriter::make(ReceivedRun run) const {
  BytesPiece piece;
  piece.plain = encode_bytes(run);
  piece.run = std::move(run);
  auto frame = packer_.pack(piece.plain, before_.view());
  piece.packed = frame.has_value();
  piece.stored = frame ? std::move(*frame) : piece.plain;
  return piece;
}

void SegmentWriter::put(const BytesPiece& piece) {
  before_.add(piece.plain);
  put(PieceKind::kBytes,
      piece.run.front().time,
      piece.stored,
      piece.plain.size(),
      piece.packed);
  for (const Received& r : piece.run) {
    note_time(r.time);
  }
  end_offset_ += byte_count(piece.run);
}

void SegmentWriter::bytes(std::span<const Received> received) {
  ReceivedRun rest(received.begin(), received.end());
  while (!rest.empty()) {
    if (room() < kLeastRoom) {
      fill(kBlockSize);
    }
    const BytesPiece piece = make(first_within(rest, room() - kPieceHead));
    put(piece);
    rest = without_first(rest, byte_count(piece.run));
  }
}

SegmentWriter::BytesPiece SegmentWriter::make_fitting(const BytesPiece& whole,
                                                      std::size_t size) const {
  // Sizes grow with counts, nearly in proportion: a search between what fits
  // and what does not, each next guess from the last one's proportion.
  std::size_t fits = 0, too_many = byte_count(whole.run);
  std::size_t guess = too_many * size / whole.size();
  BytesPiece best;
  for (int i = 0; i < kMostTries && too_many - fits > 1; ++i) {
    guess = std::clamp(guess, fits + 1, too_many - 1);
    BytesPiece piece = make(first_bytes(whole.run, guess));
    const std::size_t got = piece.size();
    if (got <= size) {
      fits = guess;
      best = std::move(piece);
      if (got + kSlack >= size) {
        break;
      }
    } else {
      too_many = guess;
    }
    guess = guess * size / got;
  }
  return fits != 0 ? best : make(first_within(whole.run, size - kPieceHead));
}

void SegmentWriter::whole_pages(std::span<const Received> received) {
  const std::uint64_t start = end_offset_;
  ReceivedRun rest(received.begin(), received.end());
  while (!rest.empty()) {
    if (room(kPageSize) < kLeastRoom) {
      fill(kPageSize);
    }
    BytesPiece piece = make(first_within(rest, kBlockSize));
    const std::size_t size = piece.size();
    if (size > room()) {
      put(make_fitting(piece, room()));
      fill(kBlockSize);
    } else if (byte_count(piece.run) < byte_count(rest)) {
      put(piece);  // it packs so well that one more follows
    } else {
      const std::size_t first = room(kPageSize);
      const std::size_t padding = (first + kBlockSize - size) % kPageSize;
      const bool one_page = size < first;
      const bool fill_up =
          padding * (one_page ? kPaddingShareOfOnePage : kPaddingShare) <= size;
      if (fill_up) {
        put(piece);
        fill(kPageSize);
      } else if (!one_page) {
        put(make_fitting(piece, size + padding - kPageSize));
        fill(kPageSize);
      } else if (end_offset_ == start) {
        put(piece);  // else it is what whole pages leave
      }
      return;
    }
    rest =
        without_first(received, static_cast<std::size_t>(end_offset_ - start));
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
    fill(kBlockSize);
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
