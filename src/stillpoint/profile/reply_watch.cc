#include "stillpoint/profile/reply_watch.h"

#include <algorithm>
#include <utility>

#include "stillpoint/profile/candidate.h"
#include "stillpoint/profile/template.h"

namespace stillpoint::profile {
namespace {

constexpr std::size_t kSlice = 4096;  // bounds what is held of one push

bool is_line_end(std::uint8_t byte) {
  return byte == '\r' || byte == '\n';
}

bool is_sentence_start(std::uint8_t byte) {
  return byte == '$' || byte == '!';
}

bool begins_line(const ReplyPattern& pattern, ByteSpan line) {
  const std::string& begin = pattern.line_begin;
  return !begin.empty() && begin.size() <= line.size() &&
         std::equal(
             begin.begin(), begin.end(), line.begin(), [](char c, auto b) {
               return static_cast<std::uint8_t>(c) == b;
             });
}

bool begins_with(const ReplyPattern& pattern, ByteSpan bytes) {
  const auto& wanted = pattern.bytes;
  return !wanted.empty() && wanted.size() <= bytes.size() &&
         std::equal(wanted.begin(),
                    wanted.end(),
                    bytes.begin(),
                    [](const auto& b, auto byte) { return !b || *b == byte; });
}

// A line that looks like a sentence whose checksum is wrong.
bool is_damaged_sentence(ByteSpan line) {
  constexpr std::size_t kShortest = 4;  // "$*hh"
  if (line.size() < kShortest || !is_sentence_start(line.front()) ||
      line[line.size() - 3] != '*') {
    return false;
  }
  constexpr std::string_view kDigits = "0123456789ABCDEF0123456789abcdef";
  const std::size_t high =
      kDigits.find(static_cast<char>(line[line.size() - 2]));
  const std::size_t low = kDigits.find(static_cast<char>(line.back()));
  const unsigned sum = exclusive_or(line.subspan(1, line.size() - 4));
  return high == std::string_view::npos || low == std::string_view::npos ||
         high % 16 * 16 + low % 16 != sum;
}

}  // namespace

ReplyWatch::ReplyWatch(std::vector<MakerFraming> framings, Found found)
    : framings_(std::move(framings)),
      found_(std::move(found)),
      seen_(framings_) {}

void ReplyWatch::expect(const ReplyPattern& reply,
                        const ReplyPattern& refusal) {
  reply_ = &reply;
  refusal_ = &refusal;
  seen_.other.clear();
}

void ReplyWatch::expect_nothing() {
  reply_ = refusal_ = nullptr;
}

void ReplyWatch::push(ByteSpan bytes) {
  while (!bytes.empty()) {
    const ByteSpan slice = bytes.first(std::min(bytes.size(), kSlice));
    bytes = bytes.subspan(slice.size());
    seen_.raw.insert(seen_.raw.end(), slice.begin(), slice.end());
    seen_.splitter.push(slice, *this);
    look_at_loose(seen_.in_frames + seen_.splitter.counts().skipped_bytes);
    forget_decided();
  }
}

void ReplyWatch::last_look() {
  const Seen before = seen_;
  has_found_ = false;
  seen_.splitter.finish(*this);
  look_at_loose(seen_.splitter.counts().bytes);
  if (!has_found_) {
    const std::vector<std::uint8_t> line = seen_.line;
    look_at_line(line);
  }
  if (has_found_) {
    forget_decided();
    seen_.line.clear();
    return;
  }
  // Held bytes that are no beginning of a frame are worth a word where nothing
  // else is.
  const bool is_rtcm = !before.raw.empty() && before.raw.front() == kRtcmStart;
  std::vector<std::uint8_t> other = std::move(seen_.other);
  seen_ = before;
  if (before.other.empty() && !is_rtcm) {
    seen_.other = std::move(other);
  }
}

void ReplyWatch::forget_decided() {
  seen_.raw.erase(seen_.raw.begin(),
                  seen_.raw.begin() + static_cast<std::ptrdiff_t>(
                                          seen_.decided - seen_.raw_at));
  seen_.raw_at = seen_.decided;
}

void ReplyWatch::found(bool is_refusal, ByteSpan answer) {
  has_found_ = true;
  found_(is_refusal, answer);
}

void ReplyWatch::on_frame(const StreamFrame& frame) {
  look_at_loose(frame.offset);
  seen_.decided += frame.bytes.size();
  seen_.in_frames += frame.bytes.size();
  seen_.line.clear();
  seen_.tail.clear();
  if (frame.kind == FrameKind::kNmea) {
    look_at_sentence(frame.bytes);
  } else if (frame.kind == FrameKind::kMaker) {
    look_at_packet(frame.bytes);
  }
}

// Bytes up to `end`, an offset of the stream: in no frame.
void ReplyWatch::look_at_loose(std::uint64_t end) {
  for (; seen_.decided < end; ++seen_.decided) {
    look_at_byte(
        seen_.raw[static_cast<std::size_t>(seen_.decided - seen_.raw_at)]);
  }
}

void ReplyWatch::look_at_byte(std::uint8_t byte) {
  keep_other(ByteSpan(&byte, 1));
  if (seen_.tail.size() == kMostPatternBytes) {
    seen_.tail.erase(seen_.tail.begin());
  }
  seen_.tail.push_back(byte);
  look_at_tail();
  if (is_line_end(byte)) {
    const std::vector<std::uint8_t> line = std::exchange(seen_.line, {});
    look_at_line(line);
  } else if (byte < ' ' || byte > '~') {
    seen_.line.clear();  // no text: a line may begin behind it
  } else if (seen_.line.size() < kNmeaLongest) {
    seen_.line.push_back(byte);
  }
}

void ReplyWatch::look_at_line(ByteSpan line) {
  if (reply_ == nullptr || is_damaged_sentence(line)) {
    return;
  }
  if (begins_line(*refusal_, line)) {
    found(true, line);
  } else if (begins_line(*reply_, line)) {
    found(false, line);
  }
}

void ReplyWatch::look_at_sentence(ByteSpan sentence) {
  while (!sentence.empty() && is_line_end(sentence.back())) {
    sentence = sentence.first(sentence.size() - 1);
  }
  // "$P": of a maker, and so perhaps an answer (NMEA 0183, proprietary
  // sentences).
  if (sentence.size() > 1 && sentence[1] == 'P') {
    keep_other(sentence);
  }
  look_at_line(sentence);
}

void ReplyWatch::look_at_packet(ByteSpan packet) {
  keep_other(packet);
  if (reply_ == nullptr) {
    return;
  }
  if (begins_with(*refusal_, packet)) {
    found(true, packet);
  } else if (begins_with(*reply_, packet)) {
    found(false, packet);
  }
}

// Bytes that fit at the end of what came, in no frame. A packet of a framing is
// believed only whole.
void ReplyWatch::look_at_tail() {
  if (reply_ == nullptr) {
    return;
  }
  for (const ReplyPattern* pattern : {refusal_, reply_}) {
    const std::size_t size = pattern->bytes.size();
    if (size == 0 || size > seen_.tail.size() || begins_packet(*pattern)) {
      continue;
    }
    const ByteSpan end = ByteSpan(seen_.tail).last(size);
    if (begins_with(*pattern, end)) {
      const std::vector<std::uint8_t> answer(end.begin(), end.end());
      const bool is_refusal = pattern == refusal_;
      seen_.tail.clear();
      found(is_refusal, answer);
      return;
    }
  }
}

bool ReplyWatch::begins_packet(const ReplyPattern& pattern) const {
  return std::any_of(
      framings_.begin(), framings_.end(), [&](const MakerFraming& framing) {
        const auto& sync = framing.sync;
        return sync.size() <= pattern.bytes.size() &&
               std::equal(sync.begin(),
                          sync.end(),
                          pattern.bytes.begin(),
                          [](std::uint8_t a, const auto& b) { return a == b; });
      });
}

void ReplyWatch::keep_other(ByteSpan bytes) {
  if (reply_ != nullptr && seen_.other.size() < kMostOther) {
    const ByteSpan some =
        bytes.first(std::min(bytes.size(), kMostOther - seen_.other.size()));
    seen_.other.insert(seen_.other.end(), some.begin(), some.end());
  }
}

}  // namespace stillpoint::profile
