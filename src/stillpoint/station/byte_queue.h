// Received bytes on their way to another thread: in order, shared and never
// changed, bounded. The one who brings them does not wait.
#pragma once

#include <chrono>
#include <condition_variable>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <mutex>
#include <utility>
#include <vector>

#include "stillpoint/core/bytes.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::station {

using SharedBytes = std::shared_ptr<const std::vector<std::uint8_t>>;

inline SharedBytes shared_bytes(ByteSpan bytes) {
  return std::make_shared<const std::vector<std::uint8_t>>(bytes.begin(),
                                                           bytes.end());
}

struct ReceivedBytes {
  SharedBytes bytes;
  GnssTime received;
  bool navigation = false;  // of a nav source, not of the receiver
};

//   threads  any
class ByteQueue {
 public:
  explicit ByteQueue(std::size_t most_bytes) : most_bytes_(most_bytes) {}

  // False, and nothing queued, where more than `most_bytes` would wait.
  bool push(ReceivedBytes item) {
    {
      const std::lock_guard lock(mutex_);
      if (item.bytes->size() > most_bytes_ - bytes_) {
        return false;
      }
      bytes_ += item.bytes->size();
      items_.push_back(std::move(item));
    }
    filled_.notify_one();
    return true;
  }

  // Waits until there is room, for a source that waits for nobody else.
  void push_waiting(ReceivedBytes item) {
    std::unique_lock lock(mutex_);
    emptied_.wait(lock, [&] { return closed_ || bytes_ < most_bytes_ / 2; });
    bytes_ += item.bytes->size();
    items_.push_back(std::move(item));
    lock.unlock();
    filled_.notify_one();
  }

  // All that waits; nothing after `longest`, or once closed.
  std::vector<ReceivedBytes> take(std::chrono::nanoseconds longest) {
    std::unique_lock lock(mutex_);
    filled_.wait_for(lock, longest, [&] { return closed_ || !items_.empty(); });
    bytes_ = 0;
    std::vector<ReceivedBytes> taken = std::exchange(items_, {});
    lock.unlock();
    emptied_.notify_one();
    return taken;
  }

  // Waits for the close, or `longest`; takes nothing.
  void wait(std::chrono::nanoseconds longest) {
    std::unique_lock lock(mutex_);
    filled_.wait_for(lock, longest, [&] { return closed_; });
  }

  // take() waits no more; what is there can still be taken.
  void close() {
    {
      const std::lock_guard lock(mutex_);
      closed_ = true;
    }
    filled_.notify_all();
    emptied_.notify_all();
  }

  [[nodiscard]] bool closed() const {
    const std::lock_guard lock(mutex_);
    return closed_;
  }
  [[nodiscard]] std::size_t bytes() const {
    const std::lock_guard lock(mutex_);
    return bytes_;
  }

 private:
  const std::size_t most_bytes_;
  mutable std::mutex mutex_;
  std::condition_variable filled_, emptied_;
  std::vector<ReceivedBytes> items_;
  std::size_t bytes_ = 0;
  bool closed_ = false;
};

}  // namespace stillpoint::station
