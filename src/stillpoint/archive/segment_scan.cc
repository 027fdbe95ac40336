#include "stillpoint/archive/segment_scan.h"

#include <algorithm>

namespace stillpoint::archive {
namespace {

bool all_zero(ByteSpan bytes) {
  return std::all_of(
      bytes.begin(), bytes.end(), [](std::uint8_t b) { return b == 0; });
}

// Zeros up to the next page, where a piece may go on. A page that is all zeros
// is none of ours.
std::size_t padding(ByteSpan rest, std::uint64_t at) {
  const std::size_t used = at % kPageSize;
  const std::size_t left = kPageSize - used;
  return used != 0 && left < rest.size() && all_zero(rest.first(left)) ? left
                                                                       : 0;
}

class Scan {
 public:
  Scan(std::uint64_t stream, ScanSink& sink) : stream_(stream), sink_(sink) {}

  // False once the sink has had enough.
  bool block(const Block& block, bool last);
  [[nodiscard]] ScanEnd end() const { return end_; }
  [[nodiscard]] const Digest& noted_digest() const { return noted_; }
  Sha256 digest;

 private:
  enum class Verdict : std::uint8_t { kGoOn, kBad, kStop };
  Verdict piece(const Piece& piece);
  Verdict bytes(const Piece& piece);
  void damage() {
    end_.damaged = true;
    sink_.on_damage();
  }

  std::uint64_t stream_;
  ScanSink& sink_;
  std::uint64_t next_ = 0;  // no good offset lies before
  Digest noted_{};
  BlockPrefix before_;  // in this block
  std::vector<std::uint8_t> room_;
  ScanEnd end_;
};

Scan::Verdict Scan::bytes(const Piece& piece) {
  const auto received = decode_bytes(piece, before_, room_);
  if (!received) {
    return Verdict::kBad;
  }
  const bool on = sink_.on_bytes(piece.offset, *received);
  next_ = piece.offset;
  for (const Received& r : *received) {
    next_ += r.bytes.size();
  }
  return on ? Verdict::kGoOn : Verdict::kStop;
}

Scan::Verdict Scan::piece(const Piece& piece) {
  if (piece.stream != stream_ || piece.offset < next_ || end_.closed) {
    return Verdict::kBad;  // of another time
  }
  switch (piece.kind) {
    case PieceKind::kOpening:
      return decode_opening(piece) ? Verdict::kGoOn : Verdict::kBad;
    case PieceKind::kBytes:
      return bytes(piece);
    case PieceKind::kGap: {
      const auto gap = decode_gap(piece);
      if (!gap) {
        return Verdict::kBad;
      }
      next_ = gap->to;
      return sink_.on_gap(*gap) ? Verdict::kGoOn : Verdict::kStop;
    }
    case PieceKind::kClosing: {
      const auto closing = decode_closing(piece);
      if (!closing) {
        return Verdict::kBad;
      }
      end_.closed = true;
      noted_ = closing->digest;
      return Verdict::kGoOn;
    }
  }
  return Verdict::kBad;
}

bool Scan::block(const Block& block, bool last) {
  end_.unreadable = end_.unreadable || block.unreadable;
  if (block.unreadable || end_.closed) {
    damage();
  }
  before_.clear();
  ByteSpan rest = block.bytes;
  std::uint64_t at = block.position;
  while (!rest.empty()) {
    const auto found = decode_piece(rest, at);
    const std::size_t size = found ? found->size() : padding(rest, at);
    const Verdict verdict = found       ? piece(*found)
                            : size != 0 ? Verdict::kGoOn
                                        : Verdict::kBad;
    if (verdict == Verdict::kStop) {
      end_.stopped = true;
      return false;
    }
    if (verdict == Verdict::kBad) {
      break;
    }
    digest.add(rest.first(end_.closed ? 0 : size));
    at += size;
    rest = rest.subspan(size);
  }
  if (all_zero(rest) && !(last && !rest.empty())) {
    digest.add(rest);
  } else if (last && !end_.closed) {
    end_.torn = true;
  } else {
    damage();
  }
  return true;
}

}  // namespace

ScanEnd scan_segment(BlockSource& blocks,
                     std::size_t first_block,
                     std::uint64_t stream,
                     ScanSink& sink) {
  Scan scan(stream, sink);
  const std::size_t count = blocks.count();
  for (std::size_t i = first_block; i < count; ++i) {
    if (!scan.block(blocks.block(i), i + 1 == count)) {
      break;
    }
  }
  ScanEnd end = scan.end();
  const bool whole = first_block == 0 && end.closed && !end.damaged;
  if (whole && scan.digest.value() != scan.noted_digest()) {
    end.damaged = true;
    sink.on_damage();
  }
  end.torn = end.torn || !(end.closed || end.stopped);
  return end;
}

namespace {

// The closing ends the file: it is found also behind a damaged piece.
std::optional<Closing> find_closing(const Block& last) {
  const ByteSpan bytes = last.bytes;
  constexpr std::size_t kSizeAt = 4, kKindAt = 6;
  for (std::size_t at = 0; at + kPieceHead <= bytes.size(); ++at) {
    const auto size = load_le<std::uint16_t>(bytes, at + kSizeAt);
    if (at + kPieceHead + size.value_or(0) != bytes.size() ||
        bytes[at + kKindAt] != static_cast<unsigned>(PieceKind::kClosing)) {
      continue;
    }
    const auto piece = decode_piece(bytes.subspan(at), last.position + at);
    if (piece) {
      return decode_closing(*piece);
    }
  }
  return std::nullopt;
}

}  // namespace

SegmentFacts read_facts(BlockSource& blocks) {
  SegmentFacts facts;
  const std::size_t count = blocks.count();
  if (count == 0) {
    return facts;
  }
  const Block first = blocks.block(0);
  const auto opening = decode_piece(first.bytes, first.position);
  if (opening && opening->kind == PieceKind::kOpening) {
    facts.opening = decode_opening(*opening);
  }
  for (std::size_t i = 0; i < count && !facts.start; ++i) {
    const Block block = blocks.block(i);
    const auto piece = decode_piece(block.bytes, block.position);
    if (piece) {
      const auto closing = piece->kind == PieceKind::kClosing
                               ? decode_closing(*piece)
                               : std::nullopt;
      facts.start = {piece->stream,
                     closing ? closing->first_offset : piece->offset,
                     piece->time};
    }
  }
  facts.closing = find_closing(count == 1 ? first : blocks.block(count - 1));
  if (!facts.start && facts.closing) {
    facts.start = {facts.closing->stream,
                   facts.closing->first_offset,
                   facts.closing->first_time};
  }
  return facts;
}

std::size_t find_block(BlockSource& blocks, std::uint64_t stream, GnssTime t) {
  std::size_t low = 0, high = blocks.count();  // the answer is in [low, high)
  while (high - low > 1) {
    const std::size_t middle = low + (high - low) / 2;
    // A block that does not tell its time is taken together with those before.
    std::size_t probe = middle;
    std::optional<GnssTime> time;
    for (; probe > low && !time; --probe) {
      const Block block = blocks.block(probe);
      const auto piece = decode_piece(block.bytes, block.position);
      if (piece && piece->stream == stream &&
          piece->kind != PieceKind::kClosing) {
        time = piece->time;
        break;
      }
    }
    if (time && *time < t) {
      low = middle;
    } else {
      high = time ? probe : middle;
    }
  }
  return low;
}

}  // namespace stillpoint::archive
