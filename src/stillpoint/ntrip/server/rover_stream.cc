// Chunks to rovers.
#include <algorithm>

#include "stillpoint/ntrip/server/fan_worker.h"

namespace stillpoint::ntrip {
namespace {

constexpr std::size_t kAhead = 2;  // rovers fetched into the cache early

}  // namespace

void FanWorker::join(Rover& rover) {
  Lane& lane = *rover.lane;
  rover.state = State::kStream;
  rover.deadline = kNever;
  rover.next = lane.end.sequence;
  rover.joined = rover.position = lane.end.offset;
  rover.lane_index = lane.rovers.size();
  lane.rovers.push_back(&rover);
}

void FanWorker::leave(Rover& rover) {
  std::vector<Rover*>& all = rover.lane->rovers;
  all[rover.lane_index] = all.back();
  all[rover.lane_index]->lane_index = rover.lane_index;
  all.pop_back();
}

bool FanWorker::chunk_waits() const {
  return std::any_of(lanes_.begin(), lanes_.end(), [](const auto& entry) {
    const Lane& lane = *entry.second;
    return lane.ring->has(lane.end.sequence);
  });
}

void FanWorker::serve_all() {
  for (const auto& [mount, lane] : lanes_) {
    serve(*lane);
  }
}

void FanWorker::serve(Lane& lane) {
  if (!lane.ring->has(lane.end.sequence)) {
    return;
  }
  fetched_.clear();
  const std::uint64_t expected = lane.end.sequence;
  const std::uint64_t before = lane.end.offset;
  lane.end = lane.ring->fetch(expected, fetched_);
  tally_.offered_bytes += lane.rovers.size() * (lane.end.offset - before);
  if (fetched_.front()->sequence != expected) {
    lane.window.clear();  // this worker came too late for the ring
  }
  if (lane.window.empty()) {
    lane.first = fetched_.front()->sequence;
  }
  lane.window.insert(lane.window.end(), fetched_.begin(), fetched_.end());
  fetched_.clear();
  std::uint64_t oldest = lane.end.sequence;
  // Who has been here longer comes first, so that a crowd that arrives holds up
  // nobody but itself.
  for (std::size_t i = 0; i < lane.rovers.size();) {
    Rover& rover = *lane.rovers[i];
    if (i + kAhead < lane.rovers.size()) {
      __builtin_prefetch(lane.rovers[i + kAhead]);
    }
    if (rover.blocked() ? within_limits(rover) : pump(rover)) {
      oldest = std::min(oldest, rover.next);
      ++i;
    }  // else the last one has taken its place
  }
  while (!lane.window.empty() && lane.first < oldest) {
    lane.window.pop_front();
    ++lane.first;
  }
}

bool FanWorker::pump(Rover& rover) {
  const Lane& lane = *rover.lane;
  while (rover.next < lane.end.sequence) {
    if (rover.next < lane.first) {
      remove(rover, Departure::kBudget);
      return false;
    }
    std::array<std::string_view, Wire::kMostPieces> pieces;
    std::size_t count = 0;
    std::size_t bytes = 0;
    for (std::uint64_t at = rover.next;
         at < lane.end.sequence && count < pieces.size();
         ++at) {
      std::string_view piece = lane.chunk(at).form(rover.framed);
      if (count == 0) {
        piece.remove_prefix(rover.chunk_sent);
      }
      pieces[count++] = piece;
      bytes += piece.size();
    }
    const IoResult sent = rover.wire.send({pieces.data(), count});
    if (sent.what == Io::kDone) {
      advance(rover, sent.bytes);
      if (rover.blocked()) {
        rover.blocked_since = now_;  // it takes some
      }
    } else if (sent.what != Io::kBlocked) {
      remove(rover,
             sent.what == Io::kClosed    ? Departure::kClosed
             : sent.what == Io::kTimeout ? Departure::kSlow
                                         : Departure::kError);
      return false;
    }
    if (sent.bytes < bytes) {
      block(rover);
      return true;
    }
  }
  unblock(rover);
  return true;
}

void FanWorker::advance(Rover& rover, std::size_t bytes) {
  rover.wire_bytes += bytes;
  tally_.wire_bytes += bytes;
  const std::uint64_t position = rover.position;
  while (bytes > 0) {
    const StreamChunk& chunk = rover.lane->chunk(rover.next);
    const std::size_t size = chunk.form(rover.framed).size();
    const std::size_t part = std::min(bytes, size - rover.chunk_sent);
    rover.chunk_sent += part;
    bytes -= part;
    if (rover.chunk_sent == size) {
      ++rover.next;
      rover.chunk_sent = 0;
      rover.position = chunk.end_offset();
      ++tally_.chunks;
    } else {
      // Of the framing nothing counts.
      const std::size_t before = rover.framed ? chunk.head : 0;
      const std::size_t own =
          rover.chunk_sent - std::min(rover.chunk_sent, before);
      rover.position = chunk.offset + std::min<std::size_t>(own, chunk.size);
    }
  }
  tally_.sent_bytes += rover.position - position;
}

bool FanWorker::within_limits(Rover& rover) {
  const Lane& lane = *rover.lane;
  if (rover.next >= lane.end.sequence) {
    return true;
  }
  Departure why = Departure::kBudget;
  if (rover.next >= lane.first &&
      lane.end.offset - rover.position <= options_.lag_bytes) {
    if (rover.blocked() &&
        now_ - rover.blocked_since >= options_.write_deadline) {
      why = Departure::kSlow;
    } else if (now_ - lane.chunk(rover.next).published >= options_.lag_age) {
      why = Departure::kTooOld;
    } else {
      return true;
    }
  }
  remove(rover, why);
  return false;
}

void FanWorker::say_end(Rover& rover) {
  if (rover.state != State::kStream || rover.blocked() ||
      rover.next != rover.lane->end.sequence) {
    return;
  }
  if (rover.framed) {
    const IoResult sent = rover.wire.send("0\r\n\r\n");
    rover.wire_bytes += sent.bytes;
    tally_.wire_bytes += sent.bytes;
  }
  rover.wire.finish();
}

}  // namespace stillpoint::ntrip
