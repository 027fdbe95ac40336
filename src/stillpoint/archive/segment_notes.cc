#include "stillpoint/archive/segment_notes.h"

#include <algorithm>
#include <string_view>

namespace stillpoint::archive {
namespace {

constexpr std::string_view kMagic = "SPSEGMNT";
constexpr std::uint16_t kVersion = 1;
constexpr std::uint16_t kTimesGoBack = 1, kSealedLater = 2;

void put_gap(NoteWriter& out, const Gap& gap) {
  out.u64(gap.from);
  out.u64(gap.to);
  out.time(gap.last_before);
  out.time(gap.first_after);
  out.u16(static_cast<std::uint16_t>(gap.reason));
}

std::optional<Gap> take_gap(NoteReader& in) {
  Gap gap;
  gap.from = in.u64();
  gap.to = in.u64();
  gap.last_before = in.time();
  gap.first_after = in.time();
  const std::uint16_t reason = in.u16();
  if (!in.ok() || gap.to < gap.from || reason < 1 || reason > 4) {
    return std::nullopt;
  }
  gap.reason = static_cast<GapReason>(reason);
  return gap;
}

Digest take_digest(NoteReader& in) {
  Digest digest{};
  const ByteSpan bytes = in.bytes(digest.size());
  std::copy(bytes.begin(), bytes.end(), digest.begin());
  return digest;
}

}  // namespace

std::size_t noted_size(const Tags& tags, const Counts& counts) {
  std::size_t size = 0;
  for (const auto& [key, value] : tags) {
    size += 4 + key.size() + value.size();
  }
  for (const auto& [key, value] : counts) {
    size += 2 + sizeof(value) + key.size();
  }
  return size;
}

std::vector<std::uint8_t> encode_body(const Opening& opening) {
  NoteWriter out;
  for (const char c : kMagic) {
    out.bytes(std::array{static_cast<std::uint8_t>(c)});
  }
  out.u16(kVersion);
  out.u16(static_cast<std::uint16_t>(opening.previous.end));
  out.u64(opening.previous.first_offset);
  out.time(opening.previous.last_time);
  out.bytes(opening.previous.digest);
  out.text(opening.previous.path);
  return out.take();
}

std::optional<Opening> decode_opening(const Piece& piece) {
  NoteReader in(piece.body);
  const ByteSpan magic = in.bytes(kMagic.size());
  const bool named =
      std::equal(magic.begin(), magic.end(), kMagic.begin(), kMagic.end());
  if (!named || in.u16() != kVersion) {
    return std::nullopt;
  }
  Opening opening;
  opening.stream = piece.stream;
  opening.offset = piece.offset;
  opening.time = piece.time;
  const std::uint16_t end = in.u16();
  opening.previous.first_offset = in.u64();
  opening.previous.last_time = in.time();
  opening.previous.digest = take_digest(in);
  opening.previous.path = in.text();
  if (!in.ok() || end > static_cast<std::uint16_t>(PreviousEnd::kMissing)) {
    return std::nullopt;
  }
  opening.previous.end = static_cast<PreviousEnd>(end);
  return opening;
}

std::vector<std::uint8_t> encode_body(const Gap& gap) {
  NoteWriter out;
  put_gap(out, gap);
  return out.take();
}

std::optional<Gap> decode_gap(const Piece& piece) {
  NoteReader in(piece.body);
  auto gap = take_gap(in);
  return gap && gap->from == piece.offset ? gap : std::nullopt;
}

std::vector<std::uint8_t> encode_body(const Closing& closing) {
  NoteWriter out;
  out.u16(kVersion);
  out.u16(
      static_cast<std::uint16_t>((closing.times_go_back ? kTimesGoBack : 0) |
                                 (closing.sealed_later ? kSealedLater : 0)));
  out.u64(closing.first_offset);
  out.time(closing.first_time);
  out.time(closing.last_time);
  out.bytes(closing.digest);
  out.u32(closing.gap_count);
  out.u16(static_cast<std::uint16_t>(closing.gaps.size()));
  for (const Gap& gap : closing.gaps) {
    put_gap(out, gap);
  }
  out.u16(static_cast<std::uint16_t>(closing.tags.size()));
  for (const auto& [key, value] : closing.tags) {
    out.text(key);
    out.text(value);
  }
  out.u16(static_cast<std::uint16_t>(closing.counts.size()));
  for (const auto& [key, value] : closing.counts) {
    out.text(key);
    out.u64(value);
  }
  return out.take();
}

std::optional<Closing> decode_closing(const Piece& piece) {
  NoteReader in(piece.body);
  if (in.u16() != kVersion) {
    return std::nullopt;
  }
  Closing closing;
  closing.stream = piece.stream;
  closing.end_offset = piece.offset;
  const std::uint16_t flags = in.u16();
  closing.times_go_back = (flags & kTimesGoBack) != 0;
  closing.sealed_later = (flags & kSealedLater) != 0;
  closing.first_offset = in.u64();
  closing.first_time = in.time();
  closing.last_time = in.time();
  closing.digest = take_digest(in);
  closing.gap_count = in.u32();
  for (std::uint16_t n = in.u16(); n > 0 && in.ok(); --n) {
    const auto gap = take_gap(in);
    if (!gap) {
      return std::nullopt;
    }
    closing.gaps.push_back(*gap);
  }
  for (std::uint16_t n = in.u16(); n > 0 && in.ok(); --n) {
    std::string key = in.text();
    closing.tags[std::move(key)] = in.text();
  }
  for (std::uint16_t n = in.u16(); n > 0 && in.ok(); --n) {
    std::string key = in.text();
    closing.counts[std::move(key)] = in.u64();
  }
  if (!in.ok() || closing.end_offset < closing.first_offset) {
    return std::nullopt;
  }
  return closing;
}

}  // namespace stillpoint::archive
