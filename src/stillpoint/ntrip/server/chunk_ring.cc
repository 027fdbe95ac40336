#include "stillpoint/ntrip/server/chunk_ring.h"

#include <fmt/format.h>

#include <algorithm>

namespace stillpoint::ntrip {
namespace {

std::shared_ptr<StreamChunk> encode(ByteSpan bytes) {
  auto chunk = std::make_shared<StreamChunk>();
  const std::string head = fmt::format("{:x}\r\n", bytes.size());
  chunk->text.reserve(head.size() + bytes.size() + 2);
  chunk->text = head;
  chunk->text.append(bytes.begin(), bytes.end());
  chunk->text += "\r\n";
  chunk->head = static_cast<std::uint32_t>(head.size());
  chunk->size = static_cast<std::uint32_t>(bytes.size());
  return chunk;
}

}  // namespace

void ChunkRing::push(ByteSpan bytes, std::chrono::nanoseconds now) {
  // An empty chunk would end a chunked stream; beyond the largest, pieces.
  constexpr std::size_t kLargest = std::size_t{1} << 20;
  while (!bytes.empty()) {
    const ByteSpan piece = bytes.first(std::min(bytes.size(), kLargest));
    bytes = bytes.subspan(piece.size());
    const std::shared_ptr<StreamChunk> chunk = encode(piece);
    chunk->published = now;
    const std::lock_guard lock(mutex_);
    chunk->sequence = end_.sequence;
    chunk->offset = end_.offset;
    end_ = {end_.sequence + 1, end_.offset + piece.size()};
    bytes_ += chunk->text.size() + kOverhead;
    chunks_.push_back(chunk);
    while (bytes_ > most_bytes_.load() && chunks_.size() > 1) {
      bytes_ -= chunks_.front()->text.size() + kOverhead;
      chunks_.pop_front();
    }
    next_.store(end_.sequence, std::memory_order_release);
  }
}

StreamEnd ChunkRing::fetch(std::uint64_t from,
                           std::vector<ChunkPointer>& chunks) const {
  const std::lock_guard lock(mutex_);
  const std::uint64_t first = end_.sequence - chunks_.size();
  const std::uint64_t begin = std::clamp(from, first, end_.sequence) - first;
  chunks.insert(chunks.end(),
                chunks_.begin() + static_cast<std::ptrdiff_t>(begin),
                chunks_.end());
  return end_;
}

StreamEnd ChunkRing::end() const {
  const std::lock_guard lock(mutex_);
  return end_;
}

}  // namespace stillpoint::ntrip
