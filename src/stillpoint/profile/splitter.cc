#include "stillpoint/profile/splitter.h"

#include <algorithm>
#include <cstring>
#include <utility>

#include "stillpoint/core/check.h"
#include "stillpoint/profile/candidate.h"

namespace stillpoint::profile {
namespace {

using Is = Verdict::Is;

// The kinds of candidate that may start at one byte, in the order in which
// they are looked at.
constexpr std::size_t kRtcm = 0;
constexpr std::size_t kNmea = 1;
constexpr std::size_t kFirstMaker = 2;

// Copied at least to go on with a candidate that an earlier push began: a
// sentence's end is not known in advance.
constexpr std::size_t kCopyAtLeast = kNmeaLongest;

}  // namespace

StreamSplitter::StreamSplitter(std::vector<MakerFraming> makers)
    : makers_(std::move(makers)) {
  std::size_t longest = std::max(kRtcmLongest, kNmeaLongest);
  starts_[kRtcmStart] = starts_['$'] = starts_['!'] = true;
  for (const MakerFraming& framing : makers_) {
    STILLPOINT_CHECK(!find_mistake(framing));
    longest = std::max(longest, longest_look(framing));
    starts_[framing.sync.front()] = true;
  }
  memory_.resize(2 * longest);
}

ByteSpan StreamSplitter::held() const {
  return ByteSpan(memory_).subspan(begin_, end_ - begin_);
}

void StreamSplitter::hold(ByteSpan bytes) {
  if (bytes.empty()) {
    return;
  }
  // What is held is at most half of the memory, so each byte is moved once on
  // average.
  if (bytes.size() > memory_.size() - end_) {
    std::memmove(memory_.data(), memory_.data() + begin_, end_ - begin_);
    end_ -= begin_;
    begin_ = 0;
  }
  std::memcpy(memory_.data() + end_, bytes.data(), bytes.size());
  end_ += bytes.size();
}

void StreamSplitter::push(ByteSpan bytes, FrameSink& sink) {
  counts_.bytes += bytes.size();
  while (!held().empty()) {
    const std::size_t before = held().size();
    const std::size_t wanted = std::max(needed_, kCopyAtLeast) - before;
    const ByteSpan more = bytes.first(std::min(bytes.size(), wanted));
    hold(more);
    if (held().size() < needed_) {
      return;
    }
    const std::size_t decided = scan(held(), before, false, sink);
    if (decided >= before) {
      // The rest lies where the caller has it.
      begin_ = end_ = 0;
      bytes = bytes.subspan(decided - before);
    } else {
      begin_ += decided;
      bytes = bytes.subspan(more.size());
    }
  }
  hold(bytes.subspan(scan(bytes, bytes.size(), false, sink)));
}

void StreamSplitter::finish(FrameSink& sink) {
  scan(held(), held().size(), true, sink);
  begin_ = end_ = 0;
  needed_ = 1;
}

// Decides as many of the bytes from position_ on as it can, until what comes
// next lies at `stop` or behind; returns how many.
std::size_t StreamSplitter::scan(ByteSpan bytes,
                                 std::size_t stop,
                                 bool ended,
                                 FrameSink& sink) {
  std::size_t i = 0;
  const auto skip = [&](std::size_t count) {
    i += count;
    position_ += count;
    counts_.skipped_bytes += count;
  };
  while (i < stop) {
    std::size_t start = i;
    while (start < stop && !starts_[bytes[start]]) {
      ++start;
    }
    skip(start - i);
    if (i == stop) {
      break;
    }
    const Verdict verdict = look(bytes.subspan(i), ended);
    if (verdict.is == Is::kUnfinished) {
      needed_ = verdict.size;
      return i;
    }
    if (verdict.is == Is::kGood) {
      hand_out(bytes.subspan(i, verdict.size), sink);
      i += verdict.size;
    } else {
      counts_.bad_checksum += progress_.failed;
      skip(1);
    }
    progress_ = {};
  }
  needed_ = 1;
  return i;
}

// All kinds of candidate at one byte; going on where the look before had to
// wait. Not kUnfinished once the stream has ended.
Verdict StreamSplitter::look(ByteSpan at, bool ended) {
  for (; progress_.kind < kFirstMaker + makers_.size();
       ++progress_.kind, progress_.resume = 0) {
    const Verdict verdict = look_at_kind(at, ended);
    if (verdict.is == Is::kGood || (verdict.is == Is::kUnfinished && !ended)) {
      return verdict;
    }
    progress_.failed += verdict.is == Is::kBad ? 1 : 0;
  }
  return {};
}

Verdict StreamSplitter::look_at_kind(ByteSpan at, bool ended) {
  switch (progress_.kind) {
    case kRtcm:
      return at[0] == kRtcmStart ? look_at_rtcm(at) : Verdict{};
    case kNmea:
      return at[0] == '$' || at[0] == '!' ? look_at_nmea(at, progress_.resume)
                                          : Verdict{};
    default:
      return look_at_packet(
          makers_[progress_.kind - kFirstMaker], at, ended, progress_.resume);
  }
}

void StreamSplitter::hand_out(ByteSpan bytes, FrameSink& sink) {
  const std::size_t kind = std::min(progress_.kind, kFirstMaker);
  const StreamFrame frame{.kind = static_cast<FrameKind>(kind),
                          .bytes = bytes,
                          .offset = position_,
                          .framing = progress_.kind - kind};
  ++counts_.frames[kind];
  position_ += bytes.size();
  sink.on_frame(frame);
}

}  // namespace stillpoint::profile
