// Bytes that wait to be written, in order and bounded. Chunks are shared: one
// copy serves all clients.
#pragma once

#include <cstddef>
#include <deque>
#include <memory>
#include <string>
#include <string_view>

namespace stillpoint::net {

using Chunk = std::shared_ptr<const std::string>;

class WriteQueue {
 public:
  explicit WriteQueue(std::size_t most) : most_(most) {}

  // False, and nothing queued, where more than `most` bytes would wait.
  [[nodiscard]] bool push(Chunk chunk) {
    if (chunk->size() > most_ - bytes_) {
      return false;
    }
    if (!chunk->empty()) {
      bytes_ += chunk->size();
      chunks_.push_back(std::move(chunk));
    }
    return true;
  }

  [[nodiscard]] bool empty() const { return chunks_.empty(); }
  [[nodiscard]] std::size_t bytes() const { return bytes_; }

  // What to write next; the queue is not empty. Stays where it is until it is
  // taken off.
  [[nodiscard]] std::string_view front() const {
    return std::string_view(*chunks_.front()).substr(taken_);
  }

  // Keeps front()'s bytes where they are, whatever happens to the queue.
  [[nodiscard]] Chunk front_chunk() const { return chunks_.front(); }

  // `count` bytes of front() have been written.
  void take(std::size_t count) {
    bytes_ -= count;
    taken_ += count;
    if (taken_ == chunks_.front()->size()) {
      chunks_.pop_front();
      taken_ = 0;
    }
  }

  void clear() {
    chunks_.clear();
    bytes_ = taken_ = 0;
  }

 private:
  std::size_t most_;
  std::deque<Chunk> chunks_;
  std::size_t bytes_ = 0;
  std::size_t taken_ = 0;  // of the first chunk
};

}  // namespace stillpoint::net
