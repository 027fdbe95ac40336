#include "stillpoint/archive/pending_bytes.h"

#include <algorithm>
#include <iterator>
#include <utility>

namespace stillpoint::archive {

void PendingBytes::push(Chunk chunk) {
  bytes_ += chunk.bytes.size();
  chunks_.push_back(std::move(chunk));
}

void PendingBytes::pop() {
  bytes_ -= chunks_.front().bytes.size();
  chunks_.pop_front();
}

const Chunk* PendingBytes::from(std::uint64_t offset) const {
  const auto found =
      std::find_if(chunks_.begin(), chunks_.end(), [&](const Chunk& c) {
        return c.end() > offset;
      });
  return found == chunks_.end() ? nullptr : &*found;
}

PendingBytes::Run PendingBytes::run(std::uint64_t offset,
                                    const UtcHour& hour) const {
  Run run;
  for (const Chunk& chunk : chunks_) {
    if (chunk.end() <= offset) {
      continue;
    }
    if (utc_hour(chunk.time) != hour) {
      run.to_the_end = false;
      break;
    }
    const std::uint64_t begin = std::max(offset, chunk.offset);
    run.received.push_back(
        {chunk.time,
         ByteSpan(chunk.bytes)
             .subspan(static_cast<std::size_t>(begin - chunk.offset))});
  }
  return run;
}

GnssTime PendingBytes::keep_before(std::uint64_t offset, GnssTime otherwise) {
  GnssTime last = otherwise;
  kept_.clear();
  while (!chunks_.empty() && chunks_.front().offset < offset) {
    Chunk& oldest = chunks_.front();
    last = oldest.time;
    const auto count = static_cast<std::size_t>(std::min(offset, oldest.end()) -
                                                oldest.offset);
    bytes_ -= count;
    if (count == oldest.bytes.size()) {
      kept_.push_back(std::move(oldest));
      chunks_.pop_front();
      continue;
    }
    const auto border =
        oldest.bytes.begin() + static_cast<std::ptrdiff_t>(count);
    kept_.push_back(
        {oldest.offset, oldest.time, {oldest.bytes.begin(), border}});
    oldest.bytes.erase(oldest.bytes.begin(), border);
    oldest.offset = offset;
  }
  return last;
}

void PendingBytes::take_kept_again() {
  for (const Chunk& chunk : kept_) {
    bytes_ += chunk.bytes.size();
  }
  chunks_.insert(chunks_.begin(),
                 std::make_move_iterator(kept_.begin()),
                 std::make_move_iterator(kept_.end()));
  kept_.clear();
}

}  // namespace stillpoint::archive
