// Received bytes in memory: those that wait for the card, and a second copy of
// what the last commit brought there, until the next sync has proved it.
#pragma once

#include <cstddef>
#include <cstdint>
#include <deque>
#include <vector>

#include "stillpoint/archive/received_run.h"
#include "stillpoint/archive/segment_name.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::archive {

struct Chunk {
  std::uint64_t offset = 0;
  GnssTime time;
  std::vector<std::uint8_t> bytes;
  [[nodiscard]] std::uint64_t end() const { return offset + bytes.size(); }
};

class PendingBytes {
 public:
  void push(Chunk chunk);
  // Takes the oldest away.
  void pop();
  [[nodiscard]] bool empty() const { return chunks_.empty(); }
  [[nodiscard]] std::size_t bytes() const { return bytes_; }
  [[nodiscard]] const Chunk& oldest() const { return chunks_.front(); }
  // The first with a byte at `offset` or behind; none: null.
  [[nodiscard]] const Chunk* from(std::uint64_t offset) const;

  struct Run {
    ReceivedRun received;
    bool to_the_end = true;  // nothing of another hour follows
  };
  // What was received in one hour, from `offset` on.
  [[nodiscard]] Run run(std::uint64_t offset, const UtcHour& hour) const;

  // Everything before `offset` is on the card: it waits no more and is kept;
  // what was kept before is forgotten. The time of the last of these bytes, or
  // `otherwise`.
  GnssTime keep_before(std::uint64_t offset, GnssTime otherwise);
  void forget_kept() { kept_.clear(); }
  // What is kept waits again, as the oldest.
  void take_kept_again();

 private:
  std::deque<Chunk> chunks_;
  std::vector<Chunk> kept_;
  std::size_t bytes_ = 0;  // of chunks_
};

}  // namespace stillpoint::archive
