// The last chunks of one mountpoint's stream, shared by all workers.
#pragma once

#include <atomic>
#include <chrono>
#include <cstddef>
#include <cstdint>
#include <deque>
#include <memory>
#include <mutex>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/core/bytes.h"

namespace stillpoint::ntrip {

// Encoded once for all rovers: the chunk framing stands around the bytes, so
// that the plain form is a part of the framed one.
struct StreamChunk {
  std::uint64_t sequence = 0;
  std::uint64_t offset = 0;  // bytes of the stream before it, framing not
                             // counted
  std::chrono::nanoseconds published{0};
  std::uint32_t head = 0, size = 0;  // bytes of framing before, of stream
  std::string text;                  // "2bc\r\n", the bytes, "\r\n"

  [[nodiscard]] std::string_view form(bool framed) const {
    const std::string_view all = text;
    return framed ? all : all.substr(head, size);
  }
  [[nodiscard]] std::uint64_t end_offset() const { return offset + size; }
};
using ChunkPointer = std::shared_ptr<const StreamChunk>;

// The place behind the last chunk.
struct StreamEnd {
  std::uint64_t sequence = 0;  // of the chunk to come
  std::uint64_t offset = 0;
};

//   threads  any; its one lock is a leaf and never held over I/O
class ChunkRing {
 public:
  // Counted for a chunk besides its bytes.
  static constexpr std::size_t kOverhead = 160;

  // Keeps so many bytes, and the last chunk in any case.
  explicit ChunkRing(std::size_t most_bytes) : most_bytes_(most_bytes) {}
  // From the next push() on; takes no lock.
  void keep(std::size_t most_bytes) { most_bytes_.store(most_bytes); }

  void push(ByteSpan bytes, std::chrono::nanoseconds now);

  // Appends the chunks from `from` on that are still kept; the first may have
  // a higher sequence number, where the ring did not reach back so far.
  StreamEnd fetch(std::uint64_t from, std::vector<ChunkPointer>& chunks) const;

  [[nodiscard]] StreamEnd end() const;
  // Without a lock: whether fetch() would bring anything.
  [[nodiscard]] bool has(std::uint64_t sequence) const {
    return next_.load(std::memory_order_acquire) > sequence;
  }

 private:
  std::atomic<std::size_t> most_bytes_;
  mutable std::mutex mutex_;
  std::deque<ChunkPointer> chunks_;      // mutex_
  std::size_t bytes_ = 0;                // mutex_
  StreamEnd end_;                        // mutex_
  std::atomic<std::uint64_t> next_ = 0;  // end_.sequence
};

}  // namespace stillpoint::ntrip
